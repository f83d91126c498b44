/** Lines and tables for a terminal of 80 columns. Rounding happens here and nowhere before. */

export const columns = 80;

/**
 * Width as the terminal counts it: combining marks take no room, wide East Asian characters two
 * columns.
 */
export const widthOf = (text: string): number => {
  let width = 0;
  for (const character of text) {
    if (/\p{Mark}|\p{Default_Ignorable_Code_Point}/u.test(character)) continue;
    width +=
      /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6]|\p{Emoji_Presentation}/u.test(
        character,
      )
        ? 2
        : 1;
  }
  return width;
};

/**
 * At most `room` columns of a name, its middle left out when it is longer: ends tell names apart.
 */
export const shortened = (text: string, room: number): string => {
  if (widthOf(text) <= room) return text;
  const characters = [...text];
  const widths = characters.map(widthOf);
  let head = Math.ceil((characters.length - 1) / 2);
  let tail = characters.length - head;
  let width = widths.reduce((sum, w) => sum + w, 1);
  while (width > room && head + tail > 0) {
    if (head > tail) {
      head -= 1;
      width -= widths[head]!;
    } else {
      tail -= 1;
      width -= widths[characters.length - tail - 1]!;
    }
  }
  return `${characters.slice(0, head).join('')}…${characters.slice(characters.length - tail).join('')}`;
};

/**
 * A path as a word of a POSIX shell: in quotes where a blank or a sign of the shell stands in it.
 */
export const shellWord = (path: string): string =>
  /^[\p{L}\p{N}_@%+=:,./-]+$/u.test(path) ? path : `'${path.replaceAll("'", "'\\''")}'`;

/**
 * Words of `text` in lines of at most `columns`, the first behind `first`, the others behind
 * `indent`.
 */
export const wrapped = (text: string, first = '', indent = ' '.repeat(widthOf(first))): string[] => {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(/\s+/).filter((w) => w !== '')) {
    if (!empty && widthOf(line) + 1 + widthOf(word) > columns) {
      lines.push(line);
      line = indent;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  lines.push(line);
  return lines;
};

export interface Column {
  readonly title: string;
  readonly align: 'left' | 'right';
  /** The widest a cell may be; longer ones are shortened. */
  readonly room?: number;
}

/** A table with a line of titles; two blanks between columns, no rules. */
export const table = (
  head: readonly Column[],
  rows: readonly (readonly string[])[],
  indent = '  ',
): string[] => {
  const cells = [head.map((c) => c.title), ...rows].map((row) =>
    row.map((cell, i) => (head[i]!.room === undefined ? cell : shortened(cell, head[i]!.room))),
  );
  const widths = head.map((_, i) => Math.max(...cells.map((row) => widthOf(row[i]!))));
  return cells.map((row) => {
    const line = row.map((cell, i) => {
      const blanks = ' '.repeat(widths[i]! - widthOf(cell));
      return head[i]!.align === 'left' ? cell + blanks : blanks + cell;
    });
    return (indent + line.join('  ')).trimEnd();
  });
};

/** A number with fixed decimals and no minus before zero; a dash for an absent one. */
export const fixed = (value: number | undefined, decimals: number): string => {
  if (value === undefined) return '-';
  const text = value.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
};

/** With its sign, for differences. */
export const signed = (value: number | undefined, decimals: number): string => {
  const text = fixed(value, decimals);
  return value === undefined || text.startsWith('-') || Number(text) === 0 ? text : `+${text}`;
};

/** `1 path`, `3 paths`. */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** `a`, `a and b`, `a, b and c`; beyond `most` names the rest is counted. */
export const listed = (names: readonly string[], most = 6): string => {
  if (names.length > most) return `${names.slice(0, most).join(', ')} and ${names.length - most} more`;
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
};

// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
const invisible = /[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]/g;

/**
 * Lines as one text. Names out of a file may hold anything: what cannot be seen, turns a line
 * around or commands the terminal is written as \uXXXX.
 */
export const printable = (lines: readonly string[]): string =>
  lines
    .map((line) => line.replace(invisible, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`))
    .join('\n');
