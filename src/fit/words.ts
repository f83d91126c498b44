/** How the messages of this step write numbers and names. */

/** Two places; three below a tenth of a millimetre. */
export const mm = (value: number): string => {
  const size = Math.abs(value);
  return `${value.toFixed(size >= 100 ? 1 : size >= 0.0995 || size === 0 ? 2 : 3)} mm`;
};

/** "A", "A and B", "A, B and C". */
export const listed = (names: readonly string[], last = 'and'): string =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} ${last} ${names.at(-1)}`;

/** As a fit names what was read at a witness point. */
const isWitness = (name: string): boolean => /^witness \d+$/.test(name);

/** "mark B", "marks A and C"; "witness 1". */
export const marksNamed = (names: readonly string[], last = 'and'): string =>
  names.every(isWitness)
    ? listed(names, last)
    : `${names.length === 1 ? 'mark' : 'marks'} ${listed(names, last)}`;

/** "1.70 deg counter-clockwise", as one looks at the bed. @param turn degrees, counter-clockwise positive */
export const turnInWords = (turn: number, decimals: number): string => {
  const size = Math.abs(turn).toFixed(decimals);
  const sense = Number(size) === 0 ? '' : turn > 0 ? ' counter-clockwise' : ' clockwise';
  return `${size} deg${sense}`;
};

const small = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten'];

export const inWords = (count: number): string => small[count] ?? String(count);

/** "1 in 200": a small probability for people. */
export const oneIn = (probability: number): string => {
  if (probability < 1e-6) return 'less than 1 in a million';
  const rounded = Number((1 / probability).toPrecision(1 / probability < 100 ? 2 : 1));
  return `1 in ${rounded.toLocaleString('en-GB')}`;
};

export const ordinal = (index: number): string =>
  ['first', 'second', 'third', 'fourth', 'fifth'][index] ?? `${index + 1}th`;
