/** The rules of a style sheet. */
import { type Declaration, readDeclarations } from './declarations.js';
import { shapingProperties } from './properties.js';
import { type NotHonoured, parseSelector, type StyleSelector } from './selector.js';
import { Tokens } from './tokens.js';

export interface StyleRule {
  readonly selectors: readonly StyleSelector[];
  readonly declarations: readonly Declaration[];
}

/** Something of a sheet that could change what is drawn and is not honoured. */
export interface LeftOutRule {
  readonly what: string;
  readonly why: string;
  /** Index in the text of the sheet. */
  readonly at: number;
}

export interface Sheet {
  readonly rules: readonly StyleRule[];
  readonly leftOut: readonly LeftOutRule[];
}

/**
 * At-rules that never change what is drawn here; fonts, animations and printed pages are not looked
 * at.
 */
const harmless = /^@(charset|namespace|page|counter-style|property|font-[a-z-]+|(-[a-z]+-)?keyframes)$/;

/**
 * @throws SheetFault for brackets that are never closed or nest too deep, with the index of the
 * first one
 */
export const readSheet = (source: string): Sheet => {
  const tokens = new Tokens(source);
  const rules: StyleRule[] = [];
  const leftOut: LeftOutRule[] = [];
  for (let i = 0; i < tokens.count; ) {
    const type = tokens.type(i);
    if (
      type === 'whitespace-token' ||
      type === 'CDO-token' ||
      type === 'CDC-token' ||
      type === 'semicolon-token'
    ) {
      i += 1;
    } else if (type === 'at-keyword-token') i = passAtRule(tokens, i, leftOut);
    else i = readRule(tokens, i, rules, leftOut);
  }
  return { rules, leftOut };
};

const passAtRule = (tokens: Tokens, from: number, leftOut: LeftOutRule[]): number => {
  const name = tokens.text(from).toLowerCase();
  let i = from + 1;
  let inside = '';
  while (i < tokens.count && tokens.type(i) !== 'semicolon-token') {
    const block = tokens.type(i) === '{-token';
    const end = tokens.behind(i);
    if (block) inside = tokens.slice(i, end);
    i = end;
    if (block) break;
  }
  const matters = name === '@import' || mentionsWhatMatters(inside);
  if (!harmless.test(name) && matters) {
    const why =
      name === '@import'
        ? 'other files are not fetched'
        : 'its rules hold on a condition and were not applied';
    leftOut.push({ what: `style rule ${name.slice(0, 20)}`, why, at: tokens.at(from) });
  }
  return i;
};

const readRule = (tokens: Tokens, from: number, rules: StyleRule[], leftOut: LeftOutRule[]): number => {
  let open = from;
  const commas: number[] = [];
  while (open < tokens.count && tokens.type(open) !== '{-token') {
    if (tokens.type(open) === 'comma-token') commas.push(open);
    open = tokens.behind(open);
  }
  if (open >= tokens.count) {
    leftOut.push({ what: 'style rule', why: 'it has no block of declarations', at: tokens.at(from) });
    return open;
  }
  const end = tokens.behind(open);
  const { declarations, nested } = readDeclarations(tokens, open + 1, end - 1);
  for (const { at } of nested) {
    leftOut.push({ what: 'style rule within another', why: 'nested rules were not applied', at });
  }
  if (declarations.length === 0) return end;
  for (const { property, value, at } of declarations) {
    if (!/var\(/i.test(value) || !matters(property)) continue;
    leftOut.push({
      what: `style ${property}`,
      why: 'its value hangs on a custom property (var), which is not worked out',
      at,
    });
  }
  const ends = [...commas, open];
  const parsed = ends.map((to, k) => parseSelector(tokens, k === 0 ? from : commas[k - 1]! + 1, to));
  const refused = parsed.filter((one): one is NotHonoured => 'why' in one);
  const invalid = refused.find(({ isSelector }) => !isSelector);
  if (refused.length > 0 && declarations.some(({ property }) => matters(property))) {
    const { why } = invalid ?? refused[0]!;
    leftOut.push({ what: 'style rule', why: `its selector was not applied: ${why}`, at: tokens.at(from) });
  }
  const selectors = parsed.filter((one): one is StyleSelector => !('why' in one));
  if (invalid === undefined && selectors.length > 0) rules.push({ selectors, declarations });
  return end;
};

const appearing: ReadonlySet<string> = new Set([
  'display',
  'visibility',
  'stroke',
  'color',
  'clip-path',
  'mask',
]);

const matters = (property: string): boolean => shapingProperties.has(property) || appearing.has(property);

const mentionsWhatMatters = (block: string): boolean => {
  for (const [, name] of block.matchAll(/[{;]\s*([a-zA-Z-]+)\s*:/g)) {
    if (matters(name!.toLowerCase())) return true;
  }
  return false;
};
