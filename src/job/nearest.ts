/** The known word that was probably meant. */

/**
 * The candidate closest to `word`, or undefined when none is close: at most a third of the letters
 * of the longer word may differ, and always one of them in words of two letters and more. Failing
 * that, the first candidate that begins with `word`, if that has three letters or more. Capitals do
 * not count, and neither do `_` and blanks for `-`. The first of equally close candidates wins.
 */
export const nearestWord = (word: string, candidates: Iterable<string>): string | undefined => {
  const plainWord = plain(word);
  const letters = lettersOf(plainWord) ?? 0;
  let best: string | undefined;
  let bestDistance = Number.POSITIVE_INFINITY;
  let longerForm: string | undefined;
  for (const candidate of candidates) {
    if (isFar(letters, plainWord.length, candidate)) continue;
    const plainCandidate = plain(candidate);
    if (plainWord.length >= 3 && plainCandidate.startsWith(plainWord)) longerForm ??= candidate;
    const longer = Math.max(plainWord.length, plainCandidate.length);
    const allowed = longer < 2 ? 0 : Math.max(1, Math.floor(longer / 3));
    if (Math.abs(plainWord.length - plainCandidate.length) > allowed) continue;
    const distance = editDistance(plainWord, plainCandidate);
    if (distance <= allowed && distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best ?? longerForm;
};

/**
 * A quick no for most of a million names: each letter of the word that the candidate lacks is one
 * that differs. False where this does not decide.
 */
const isFar = (letters: number, length: number, candidate: string): boolean => {
  const found = lettersOf(candidate);
  if (found === undefined) return false;
  let missing = 0;
  for (let rest = letters & ~found; rest !== 0; rest &= rest - 1) missing += 1;
  return missing > Math.max(1, Math.floor(Math.max(length, Math.min(longest, candidate.length)) / 3));
};

/**
 * A bit for each of the letters a to z in it, capitals or not; undefined beyond ASCII, where case
 * is another matter.
 */
const lettersOf = (word: string): number | undefined => {
  let found = 0;
  for (let i = 0; i < word.length; i += 1) {
    const code = word.charCodeAt(i);
    if (code > 127) return undefined;
    const letter = (code | 32) - 97;
    if (letter >= 0 && letter < 26 && code > 64) found |= 1 << letter;
  }
  return found;
};

const longest = 60;

/** Nobody mistypes a word of more than 60 letters; the bound keeps the work small. */
const plain = (word: string): string => word.slice(0, longest).toLowerCase().replace(/[_\s]/g, '-');

/**
 * Insertions, deletions, substitutions and exchanges of neighbouring letters that turn `a` into `b`
 * (optimal string alignment; Damerau, Communications of the ACM 7(3), 1964).
 */
export const editDistance = (a: string, b: string): number => {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const same = a[i - 1] === b[j - 1];
      let cost = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + (same ? 0 : 1));
      const exchanged = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (exchanged) cost = Math.min(cost, beforeLast[j - 2]! + 1);
      row.push(cost);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length]!;
};
