/** Declarations of a `style` attribute or of a rule. */
import { Tokens } from './tokens.js';

export interface Declaration {
  /** Lower case. */
  readonly property: string;
  readonly value: string;
  readonly important: boolean;
  /** Index in the text it was read from. */
  readonly at: number;
}

/** What stands in a block beside declarations. */
export interface Nested {
  readonly at: number;
}

/**
 * The declarations between two tokens, and the rules nested among them, which are not read. What is
 * no declaration is passed over up to the next semicolon (W3C CSS Syntax 3, section 5.4.5).
 * @throws SheetFault for brackets that are never closed or nest too deep
 */
export const readDeclarations = (
  tokens: Tokens,
  from: number,
  to: number,
): { readonly declarations: readonly Declaration[]; readonly nested: readonly Nested[] } => {
  const declarations: Declaration[] = [];
  const nested: Nested[] = [];
  for (let i = from; i < to; ) {
    if (tokens.isBlank(i) || tokens.type(i) === 'semicolon-token') {
      i += 1;
      continue;
    }
    const start = i;
    let block = false;
    while (i < to && tokens.type(i) !== 'semicolon-token' && !block) {
      block = tokens.type(i) === '{-token';
      i = tokens.behind(i);
    }
    if (block) nested.push({ at: tokens.at(start) });
    else {
      const declaration = declarationOf(tokens, start, i);
      if (declaration !== undefined) declarations.push(declaration);
    }
  }
  return { declarations, nested };
};

const declarationOf = (tokens: Tokens, from: number, to: number): Declaration | undefined => {
  const colon = tokens.skipBlanks(from + 1);
  if (tokens.type(from) !== 'ident-token' || tokens.type(colon) !== 'colon-token' || colon >= to)
    return undefined;
  const text = tokens.slice(colon + 1, to).trim();
  const value = text.replace(/!\s*important$/i, '');
  return {
    property: tokens.text(from).toLowerCase(),
    value: value.trim(),
    important: value.length < text.length,
    at: tokens.at(from),
  };
};

/** Of a `style` attribute; one with brackets that do not match is read up to there. */
export const readStyleAttribute = (text: string): readonly Declaration[] => {
  const tokens = new Tokens(text);
  return readDeclarations(tokens, 0, tokens.count).declarations;
};

/** Values by property; they come before the presentation attributes. */
export type Style = ReadonlyMap<string, string>;
