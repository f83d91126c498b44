/** Numbers and words of the page. */

/** Fixed decimals without a minus before zero; a dash for what is absent. */
export const fixed = (value: number | null | undefined, decimals: number): string => {
  if (value === undefined || value === null) return '–';
  const text = value.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text.replace('-', '−');
};

/** `1 opening`, `3 openings`. */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

export const lowerFirst = (text: string): string => text.slice(0, 1).toLowerCase() + text.slice(1);
export const upperFirst = (text: string): string => text.slice(0, 1).toUpperCase() + text.slice(1);

/** `A`, `A and B`, `A, B and C`. */
export const listed = (names: readonly string[]): string =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;

/** The largest of 1, 2, 5, 10, 20 ... that is not above `most`, and at least 1. */
export const roundBelow = (most: number): number => {
  if (!(most >= 1)) return 1;
  const decade = Number(`1e${Math.floor(Math.log10(most))}`);
  return ([5, 2, 1].find((s) => s * decade <= most) ?? 1) * decade;
};
