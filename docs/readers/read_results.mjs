// Read results.json: for each body the wet size for a finished 200 mm, and what one piece will finish at.
import { readFileSync } from "node:fs";

const results = JSON.parse(readFileSync(process.argv[2], "utf8"));
for (const answer of results.answers.filter((one) => one.known)) {
  const one = results.programmes.find((programme) => programme.id === answer.programme);
  const total = one.quantities.total_shrinkage;
  const wet = 200 * one.wet_size_factor;
  const [low, high] = [total.next_high, total.next_low].map((shrinkage) => wet * (1 - shrinkage / 100));
  console.log([one.body, one.called, wet, low, high].join(";"));
}
