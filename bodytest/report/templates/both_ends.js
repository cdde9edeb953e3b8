/** Both ends of a range, to more digits where they would look the same. */
function bothEnds(low, high, digits, shown) {
  while (digits < 6 && low < high && shown(low, digits) === shown(high, digits)) digits += 1;
  return { low: shown(low, digits), high: shown(high, digits) };
}
