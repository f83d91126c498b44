/**
 * What has to be known of an SVG file before its shapes can be drawn: the elements that `use`
 * refers to, and the style sheets, wherever they stand. Only a file in which such elements can be
 * is read for them, and no further than the last of them; this is the price of keeping no tree of
 * the file.
 */
import { limits } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import type { LeftOutList } from '../model/left-out.js';
import { Cascade, TooManyRules } from './style/cascade.js';
import { readSheet, type Sheet } from './style/sheet.js';
import { SheetFault } from './style/tokens.js';
import { targetOf } from './svg-use.js';
import { readXml, type XmlElement, type XmlHandler } from './xml/xml.js';

/** Characters in all style sheets of a drawing. */
const longestSheets = limits.sheetCharacters.most;

export interface Ahead {
  /** The ids that `use` elements refer to. */
  readonly referenced: ReadonlySet<string>;
  readonly cascade: Cascade;
}

/** A piece of a sheet's text, with the line on which it begins. */
interface Piece {
  readonly text: string;
  readonly line: number;
}

interface SheetText {
  readonly element: XmlElement;
  readonly pieces: Piece[];
}

/**
 * @param leftOut gets what the sheets say and is not honoured
 * @throws InputError for broken XML, and for style sheets that are broken or too much
 */
export const lookAhead = (bytes: Uint8Array, path: string, leftOut: LeftOutList): Ahead => {
  const referenced = new Set<string>();
  const sheets: SheetText[] = [];
  const end = lastPlace(bytes);
  if (end > 0) readAhead(bytes, path, end, referenced, sheets);
  return { referenced, cascade: cascadeOf(sheets, path, leftOut) };
};

const readAhead = (
  bytes: Uint8Array,
  path: string,
  end: number,
  referenced: Set<string>,
  sheets: SheetText[],
): void => {
  let length = 0;
  const handler: XmlHandler = {
    open: (element) => {
      if (element.name === 'use') {
        const target = targetOf(element);
        if (target !== undefined) referenced.add(target);
      }
      if (element.name !== 'style' || !element.isSvg) return false;
      sheets.push({ element, pieces: [] });
      return true;
    },
    text: (text, lastLine) => {
      const sheet = sheets.at(-1)!;
      sheet.pieces.push({ text, line: lastLine - linesIn(text) });
      length += text.length;
      if (length <= longestSheets) return;
      throw new InputError({
        found: `style sheets of more than ${longestSheets / 1e6} million characters`,
        expected: 'no more of them',
        where: { file: path, line: sheet.element.line, element: 'style' },
        next: 'Export the drawing with presentation attributes instead of a style sheet.',
      });
    },
    close: () => {},
  };
  readXml(bytes, path, handler, end);
};

const linesIn = (text: string): number => {
  let count = 0;
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) count += 1;
  return count;
};

const cascadeOf = (sheets: readonly SheetText[], path: string, leftOut: LeftOutList): Cascade => {
  const read = sheets.flatMap((sheet): Sheet[] => {
    const { type = '', media = '' } = sheet.element.attributes;
    if (!/^\s*(text\/css)?\s*(;.*)?$/i.test(type)) return [];
    if (!/^\s*(all|screen)?\s*$/i.test(media)) {
      const why = `it holds for ${media.trim().slice(0, 40)} only and was not applied`;
      leftOut.note('style sheet', `line ${sheet.element.line}`, why);
      return [];
    }
    return [sheetOf(sheet, path, leftOut)];
  });
  try {
    return new Cascade(read);
  } catch (error) {
    if (error instanceof TooManyRules) throw tooManyRules(error, path, sheets[0]?.element.line);
    throw error;
  }
};

const sheetOf = ({ pieces }: SheetText, path: string, leftOut: LeftOutList): Sheet => {
  try {
    const sheet = readSheet(pieces.map(({ text }) => text).join(''));
    for (const { what, why, at } of sheet.leftOut) leftOut.note(what, `line ${lineOf(pieces, at)}`, why);
    return sheet;
  } catch (error) {
    if (!(error instanceof SheetFault)) throw error;
    throw new InputError({
      found: error.found,
      expected: error.expected,
      where: { file: path, line: lineOf(pieces, error.at), element: 'style' },
      next: 'Correct the style sheet, or export the drawing with presentation attributes instead.',
    });
  }
};

const lineOf = (pieces: readonly Piece[], at: number): number => {
  let before = 0;
  for (const { text, line } of pieces) {
    if (at <= before + text.length) return line + linesIn(text.slice(0, at - before));
    before += text.length;
  }
  return pieces.at(-1)?.line ?? 1;
};

/** The error of a drawing whose style rules cannot be worked through. */
export const tooManyRules = (fault: TooManyRules, path: string, line: number | undefined): InputError =>
  new InputError({
    found: fault.found,
    expected: fault.expected,
    where: { file: path, ...(line === undefined ? {} : { line }), element: 'style' },
    next: 'Export the drawing with presentation attributes instead of a style sheet.',
  });

const code = (letter: string): number => letter.charCodeAt(0);
const tagBegin = code('<');
const slash = code('/');
const colon = code(':');

/**
 * The index behind the last tag that matters: every `use` means the whole file, a sheet ends with
 * its own end tag. In UTF-16 a zero byte stands between letters, so zero bytes say "perhaps".
 */
const lastPlace = (bytes: Uint8Array): number => {
  if (bytes.subarray(0, 4).includes(0) || bytes[0] === 0xfe || bytes[0] === 0xff) return bytes.length;
  let last = 0;
  for (let at = bytes.indexOf(tagBegin); at >= 0; at = bytes.indexOf(tagBegin, at + 1)) {
    const name = localName(bytes, bytes[at + 1] === slash ? at + 2 : at + 1);
    if (hasWord(bytes, name, 'use')) return bytes.length;
    if (hasWord(bytes, name, 'style')) {
      const end = bytes.indexOf(code('>'), name);
      if (end < 0) return bytes.length;
      last = end + 1;
    }
  }
  return last;
};

/** Behind the prefix of a name, if it has one. */
const localName = (bytes: Uint8Array, from: number): number => {
  let at = from;
  const end = from + 40;
  while (at < end && inName[bytes[at] ?? 0] === 1) at += 1;
  return bytes[at] === colon && at < end ? at + 1 : from;
};

/** 1 for digits, letters, dots, hyphens, underscores and whatever is not ASCII. */
const inName = Uint8Array.from({ length: 256 }, (_, byte) =>
  byte >= 0x80 || /[\w.-]/.test(String.fromCharCode(byte)) ? 1 : 0,
);

const hasWord = (bytes: Uint8Array, at: number, word: string): boolean => {
  for (let i = 0; i < word.length; i += 1) if (bytes[at + i] !== word.charCodeAt(i)) return false;
  return true;
};
