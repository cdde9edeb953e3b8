(() => {
  "use strict";
  const data = JSON.parse(document.getElementById("typing-data").textContent);
  const { rows, readings, words } = data;
  const find = (id) => document.getElementById(id);
  const typedIn = find("number");
  const blank = () => ({ typed: {}, draft: null, at: null, saved: 0, changes: 0 });
  let kept = blank();
  let keeps = true;
  let at = { row: 0, reading: 0 };
  let answered = false;
  let judged = {};

  // What is kept: each reading as typed under "row reading", and what stands in the field.
  function load() {
    try {
      kept = { ...blank(), ...JSON.parse(localStorage.getItem(data.key) || "{}") };
    } catch {
      keeps = false;
    }
    if (data.server) kept.typed = { ...data.server.typed };
  }

  function save() {
    try {
      localStorage.setItem(data.key, JSON.stringify({ ...kept, at: [at.row, reading().key] }));
      keeps = true;
    } catch {
      keeps = false;
    }
    if (data.server) return;
    warn(keeps ? "" : words.not_kept);
    find("kept").hidden = !keeps;
  }

  function warn(text) {
    find("not-kept").textContent = text;
    find("not-kept").hidden = !text;
  }

  // Where a program is there, it stores each reading and judges it; false where it did not take it.
  async function send(row, key, text, before) {
    const typed = new URLSearchParams({ row, key, text, before, state: data.server.state, sheet: data.server.sheet });
    let answer;
    try {
      answer = await (await fetch(data.server.address, { method: "POST", body: typed })).json();
    } catch {
      warn(words.no_answer);
      return false;
    }
    warn(answer.told);
    kept.typed = answer.typed;
    data.server.state = answer.state;
    judged = { [place(row, key)]: answer.doubts };
    return answer.taken;
  }

  const place = (row, key) => `${row} ${key}`;
  const reading = () => readings[at.reading];
  const isThere = (row, one) => one.of_mark || rows[row].first === row;
  const rowOf = (one) => (one.of_mark ? at.row : rows[at.row].first);
  const here = (one = reading()) => rows.flatMap((_, row) => (isThere(row, one) ? [row] : []));

  function valueOf(row, key) {
    const text = kept.typed[place(row, key)];
    if (text !== undefined) return checks.parsed(text, key).value ?? NaN;
    return rows[row].known[key] ?? NaN;
  }

  const checks = typedChecks(data, valueOf);
  const { filled } = checks;
  const inUnit = (row, one) => `${valueOf(row, one.key)} ${one.unit}`;
  const isDone = (row, one) => !Number.isNaN(valueOf(row, one.key));

  // What is to be told of a reading that was typed: what the sheet has there, and what does not fit.
  function doubts(row, one) {
    const text = kept.typed[place(row, one.key)];
    if (text === undefined) return [];
    const known = rows[row].known[one.key];
    const differs = known !== undefined && Math.abs(known - valueOf(row, one.key)) > 1e-9 * known;
    const sheet = differs ? [{ sentence: filled(words.differs, { value: `${known} ${one.unit}` }), remedy: "" }] : [];
    return [...sheet, ...(judged[place(row, one.key)] ?? checks.doubts(row, one.key))];
  }

  // Takes what stands in the field; false where it is no reading, or where it could not be stored.
  async function take() {
    const typed = typedIn.value.trim();
    const key = place(at.row, reading().key);
    const before = kept.typed[key];
    const { wrong, value } = typed ? checks.parsed(typed, reading().key) : {};
    if (wrong) {
      tell([wrong]);
      typedIn.setAttribute("aria-invalid", "true");
      return false;
    }
    const text = typed && String(value);
    if (data.server && text !== (before ?? "")) {
      if (!(await send(at.row, reading().key, text, before ?? ""))) {
        show();
        return false;
      }
    } else if (text) kept.typed[key] = text;
    else delete kept.typed[key];
    kept.draft = null;
    if (before !== kept.typed[key]) kept.changes += 1;
    save();
    return true;
  }

  function tell(found, asking = false) {
    find("told").replaceChildren(...found.flatMap(({ sentence, remedy }) => {
      const said = [paragraph(`${words.look_again} ${sentence}`)];
      if (remedy) said.push(paragraph(remedy, "remedy"));
      return said;
    }));
    find("answer").hidden = !asking;
    find("keys").hidden = asking;
    document.querySelector(".move").hidden = asking;
  }

  function paragraph(text, name = "") {
    const made = document.createElement("p");
    made.textContent = text;
    made.className = name;
    return made;
  }

  function go(row, number = at.reading) {
    at = { row, reading: number };
    const text = kept.typed[place(row, reading().key)] ?? "";
    typedIn.value = kept.draft ?? text;
    typedIn.removeAttribute("aria-invalid");
    answered = false;
    tell([]);
    show();
  }

  async function leave(row, number) {
    if (!(await take())) return;
    kept.draft = null;
    go(row, number);
    save();
  }

  // On to the next bar without this reading, after the doubt was told and answered.
  async function onward() {
    if (!(await take())) return;
    const found = answered ? [] : doubts(at.row, reading());
    if (found.length) {
      answered = true;
      show();
      tell(found, true);
      return;
    }
    const open = here().filter((row) => !isDone(row, reading()));
    const skipped = typedIn.value.trim() ? -1 : at.row;
    const next = open.find((row) => row > at.row) ?? open.find((row) => row !== skipped);
    if (next !== undefined) {
      await leave(next);
      return;
    }
    show();
    if (open.length) return;
    const following = readings.findIndex((one, n) => n > at.reading && here(one).some((row) => !isDone(row, one)));
    find("told").replaceChildren(paragraph(filled(words.finished, { heading: reading().heading })));
    if (following < 0) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = filled(words.onward, { heading: readings[following].heading });
    button.addEventListener("click", () => begin(following));
    find("told").append(button);
  }

  async function begin(number) {
    const there = here(readings[number]);
    await leave(there.find((row) => !isDone(row, readings[number])) ?? there[0], number);
    if (!find("measured").matches(":focus")) typedIn.focus();
  }

  function aboutRow(row) {
    const [, body, batch, firing, direction, mark] = rows[row].names;
    const said = [body, batch, firing, direction].filter(Boolean);
    if (mark && reading().of_mark) said.push(filled(words.about_mark, { mark }));
    return said.join(" · ");
  }

  function show() {
    const one = reading();
    const there = here();
    find("code").textContent = rows[at.row].names[0];
    find("place").textContent = filled(words.place, { place: there.indexOf(at.row) + 1, all: there.length });
    find("about").textContent = aboutRow(at.row);
    document.querySelector("label[for=number]").textContent = `${one.heading} (${one.unit})`;
    for (const key of document.querySelectorAll(".inch")) key.hidden = one.unit !== "in";
    const others = readings.filter((other) => other !== one && other.dimension === one.dimension && isDone(rowOf(other), other));
    const known = rows[at.row].known[one.key];
    find("in-sheet").textContent = known === undefined ? "" : filled(words.in_sheet, { value: `${known} ${one.unit}` });
    find("earlier").replaceChildren(...others.flatMap((other) => [term("dt", other.heading), term("dd", inUnit(rowOf(other), other))]));
    find("back").disabled = there[0] === at.row;
    showChoices();
    showBars();
    showUnsaved();
  }

  function term(name, text) {
    const made = document.createElement(name);
    made.textContent = text;
    return made;
  }

  function showChoices() {
    find("measured").replaceChildren(...readings.map((one, number) => {
      const there = here(one);
      const done = there.filter((row) => isDone(row, one)).length;
      const option = new Option(filled(words.progress, { heading: one.heading, unit: one.unit, done, all: there.length }), number);
      option.selected = number === at.reading;
      return option;
    }));
  }

  function showBars() {
    const one = reading();
    find("bars").replaceChildren(...here().map((row) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      const mark = one.of_mark && rows[row].names[5] ? ` · ${filled(words.about_mark, { mark: rows[row].names[5] })}` : "";
      button.type = "button";
      button.append(term("span", rows[row].names[0] + mark), term("span", isDone(row, one) ? inUnit(row, one) : words.none));
      if (row === at.row) button.setAttribute("aria-current", "true");
      button.addEventListener("click", async () => {
        await leave(row);
        typedIn.focus();
        scrollTo(0, 0);
      });
      item.append(button, ...doubts(row, one).map(({ sentence }) => paragraph(`${words.look_again} ${sentence}`)));
      return item;
    }));
  }

  function showUnsaved() {
    const count = Object.keys(kept.typed).length;
    const open = kept.changes > kept.saved;
    const unsaved = count === 1 ? words.unsaved_one : filled(words.unsaved_many, { n: count });
    find("unsaved").textContent = data.server ? filled(words.stored, { file: data.server.file }) : open && count ? unsaved : count ? words.all_saved : words.nothing;
    find("export").disabled = !count;
    find("clear").disabled = !count;
    find("clear").textContent = words.clear;
    find("as-text").value = asTable();
  }

  // What was typed, as a table: which sheet it belongs to, then a row for each bar or mark.
  function asTable() {
    const typed = (row, one) => kept.typed[place(row, one.key)] !== undefined;
    const columns = readings.filter((one) => rows.some((_, row) => typed(row, one)));
    const names = data.headings.map((_, n) => n).filter((n) => n === 0 || tellsApart(n));
    const lines = rows.flatMap((row, n) => (columns.some((one) => typed(n, one))
      ? [[...names.map((column) => row.names[column]), ...columns.map((one) => (typed(n, one) ? String(valueOf(n, one.key)) : ""))]]
      : []));
    const head = [...names.map((n) => data.headings[n]), ...columns.map((one) => `${one.heading} (${one.unit})`)];
    return [[data.title], head, ...lines].map((line) => `${line.map(cell).join(",")}\n`).join("");
  }

  // Whether rows of one bar code differ in a name; the mark always stands there where there are marks.
  function tellsApart(column) {
    if (data.headings[column] === "mark") return rows.some((row) => row.names[column]);
    const first = new Map();
    return rows.some(({ names }) => first.set(names[0], first.get(names[0]) ?? names[column]).get(names[0]) !== names[column]);
  }

  // A name that a spreadsheet program would take for a formula gets an apostrophe in front.
  function cell(text) {
    const guarded = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
    return /[",\n\r]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
  }

  async function download() {
    if (!(await take())) return;
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([asTable()], { type: "text/csv" }));
    link.download = data.file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    kept.saved = kept.changes;
    save();
    show();
  }

  function press(key) {
    if (key === "erase") typedIn.value = typedIn.value.slice(0, -1);
    else if (typedIn.value.length < typedIn.maxLength) typedIn.value += key;
    edited();
  }

  function edited() {
    kept.draft = typedIn.value;
    typedIn.removeAttribute("aria-invalid");
    answered = false;
    tell([]);
    save();
  }

  find("keys").addEventListener("pointerdown", (event) => event.preventDefault());
  find("keys").addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (key) press(key.dataset.key);
  });
  typedIn.addEventListener("input", edited);
  find("entry").addEventListener("submit", (event) => {
    event.preventDefault();
    if (find("entry").ariaBusy === "true") return;
    find("entry").ariaBusy = "true";
    onward().finally(() => { find("entry").ariaBusy = "false"; });
  });
  find("keep").addEventListener("click", async () => {
    await onward();
    typedIn.focus();
  });
  find("again").addEventListener("click", () => {
    typedIn.value = "";
    edited();
    typedIn.focus();
  });
  find("back").addEventListener("click", () => {
    const there = here();
    leave(there[Math.max(0, there.indexOf(at.row) - 1)]);
  });
  find("measured").addEventListener("change", async () => {
    await begin(Number(find("measured").value));
    showChoices();
  });
  find("export").addEventListener("click", download);
  find("clear").addEventListener("click", () => {
    const sure = filled(words.clear_sure, { n: Object.keys(kept.typed).length });
    if (find("clear").textContent !== sure) {
      find("clear").textContent = sure;
      return;
    }
    kept = blank();
    go(here()[0]);
    save();
  });
  addEventListener("storage", (event) => {
    if (event.key !== data.key || data.server) return;
    load();
    show();
  });
  addEventListener("beforeunload", (event) => {
    if (!data.server && !keeps && kept.changes > kept.saved) event.preventDefault();
  });

  for (const part of document.querySelectorAll(".alone")) part.hidden = Boolean(data.server);
  load();
  find("point").textContent = find("point").dataset.key = (1.5).toLocaleString().replace(/\d/g, "") || ".";
  const last = kept.at ? readings.findIndex((one) => one.key === kept.at[1]) : -1;
  if (last >= 0 && rows[kept.at[0]]) go(kept.at[0], last);
  else {
    const first = Math.max(0, readings.findIndex((one) => here(one).some((row) => !isDone(row, one))));
    at.reading = first;
    kept.draft = null;
    go(here().find((row) => !isDone(row, readings[first])) ?? here()[0]);
  }
  save();
})();
