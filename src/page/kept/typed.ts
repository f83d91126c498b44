/** What people type and paste: figures as displays, spreadsheets and hands write them. */

/** A figure with as many decimals as were typed. */
export interface Figure {
  readonly value: number;
  readonly decimals: number;
}

/**
 * A length or another plain number. Read are a decimal comma, a minus sign of any kind, spaces between groups of digits and a
 * trailing mm; of a figure with both comma and point it cannot be told which is the decimal one.
 *
 * @returns undefined where it is no number
 */
export const figureOf = (typed: string): Figure | undefined => {
  const bare = typed
    .trim()
    .replace(/\s*mm\.?$/i, '')
    .replace(/^[\u2212\u2013\u2012\uFE63\uFF0D]\s*/, '-')
    .replace(/(?<=\d)[\s\u00A0\u202F\u2009'](?=\d{3}(\D|$))/g, '');
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(bare)) return undefined;
  const text = bare.replace(',', '.');
  return { value: Number(text), decimals: text.split('.')[1]?.length ?? 0 };
};

/** What is wrong with it, for the row it stands in. */
export const whyNoFigure = (typed: string): string =>
  /[.].*[,]|[,].*[.]/.test(typed)
    ? `“${typed.trim()}” has a point and a comma`
    : `“${typed.trim()}” is no number`;

/** One line of a pasted table; its name where it has one. */
export interface PastedRow {
  readonly name?: string;
  readonly x: Figure;
  readonly y: Figure;
}

/**
 * Rows of name, x, y or of x, y alone, parted by tabs, semicolons, spaces or commas; lines of words, such as column heads,
 * are passed over.
 *
 * @returns undefined for text that is no table: less than two figures in a row
 */
export const pastedRows = (text: string): PastedRow[] | undefined => {
  const rows: PastedRow[] = [];
  for (const line of text.split(/\r?\n/)) {
    const cells = cellsOf(line);
    const figures = cells.map(figureOf);
    const first = figures.findIndex((one) => one !== undefined);
    if (first < 0 || first > 1) continue;
    const [x, y] = [figures[first], figures[first + 1]];
    if (x === undefined || y === undefined) continue;
    rows.push({ ...(first === 1 ? { name: cells[0]! } : {}), x, y });
  }
  return rows.length === 0 ? undefined : rows;
};

const cellsOf = (line: string): string[] => {
  const parts = /\t/.test(line)
    ? line.split('\t')
    : /;/.test(line)
      ? line.split(';')
      : /,\s|\s/.test(line.trim())
        ? line.trim().split(/,?\s+/)
        : line.split(',');
  return parts.map((part) => part.trim()).filter((part) => part !== '');
};
