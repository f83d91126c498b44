/** How wide words are in a picture, and how they are kept within their room. */

/**
 * Advance widths of DejaVu Sans, shares of the size, rounded up (measured in a browser): Helvetica,
 * Arial and Liberation Sans are narrower, and which of them a viewer has nobody knows.
 */
const widths: Readonly<Record<string, number>> = {};
const measured: readonly (readonly [share: number, letters: string])[] = [
  [0.29, "ijlIJ'"],
  [0.34, ' ,./:;\\|'],
  [0.39, 'f-()[]t'],
  [0.46, '!r"'],
  [0.53, '*_`sz?'],
  [0.6, 'cLFkvxyP'],
  [0.64, 'TYaoeESbdghnpqu$0123456789{}'],
  [0.7, 'KAVBRXZC'],
  [0.79, 'UHNDGOQ&'],
  [0.86, 'w#+<=>^~M'],
  [1, '%mW@…'],
];
for (const [share, letters] of measured)
  for (const letter of letters) (widths as Record<string, number>)[letter] = share;

/**
 * Of letters that are not in the table: accented ones and other alphabets, and full-width signs.
 */
const widthOfLetter = (letter: string): number => {
  const known = widths[letter];
  if (known !== undefined) return known;
  const code = letter.codePointAt(0)!;
  // Signs that stand over others.
  if (code >= 0x300 && code <= 0x36f) return 0;
  return code < 0x1100 ? 0.8 : 1;
};

/** Bold letters are wider. */
const bolder = 1.13;

/** Width of a line, never less than a viewer writes it. */
export const letteringWidth = (text: string, size: number, bold = false): number => {
  let width = 0;
  for (const letter of text) width += widthOfLetter(letter);
  return width * size * (bold ? bolder : 1);
};

/** The text, or as much of its beginning and end as fits a width: ends tell names apart. */
export const shortenedTo = (text: string, width: number, size: number, bold = false): string => {
  if (letteringWidth(text, size, bold) <= width) return text;
  const scale = size * (bold ? bolder : 1);
  const letters = [...text];
  let room = width - letteringWidth('…', size, bold);
  let head = 0;
  let tail = 0;
  while (head + tail < letters.length - 1) {
    const next = head <= tail ? letters[head]! : letters[letters.length - 1 - tail]!;
    room -= widthOfLetter(next) * scale;
    if (room < 0) break;
    if (head <= tail) head += 1;
    else tail += 1;
  }
  return `${letters.slice(0, head).join('')}…${letters.slice(letters.length - tail).join('')}`;
};

/** Words in lines of at most `width` units; a word that is longer is shortened in its middle. */
export const wrappedWriting = (text: string, width: number, size: number, bold = false): string[] => {
  const lines: string[] = [];
  let line = '';
  for (const given of text.split(/\s+/).filter((w) => w !== '')) {
    const word = shortenedTo(given, width, size, bold);
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && letteringWidth(longer, size, bold) > width) {
      lines.push(line);
      line = word;
    } else {
      line = longer;
    }
  }
  if (line !== '') lines.push(line);
  return lines;
};
