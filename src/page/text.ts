/** Numbers and words of the page. */

/** Text made safe for HTML and SVG. */
export const escaped = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');

/** Fixed decimals without a minus before zero; a dash for what is absent. */
export const fixed = (value: number | undefined, decimals: number): string => {
  if (value === undefined) return '–';
  const text = value.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text.replace('-', '−');
};

/** A probability as people read it; small ones are not told more exactly than they are known. */
export const percent = (p: number | undefined): string => {
  if (p === undefined) return '–';
  const value = 100 * p;
  if (value < 0.01) return '< 0.01 %';
  if (value > 99.95) return '> 99.9 %';
  return `${value < 0.1 ? value.toFixed(2) : value < 9.95 ? value.toFixed(1) : value.toFixed(0)} %`;
};

/** `1 opening`, `3 openings`. */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

export const lowerFirst = (text: string): string => text.slice(0, 1).toLowerCase() + text.slice(1);
export const upperFirst = (text: string): string => text.slice(0, 1).toUpperCase() + text.slice(1);
