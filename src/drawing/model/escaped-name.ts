/**
 * Names as people say them. An id may hold no blank, so programs write one as `_x20_` or `_x0020_`
 * (the hexadecimal code of the character), `%20` (RFC 3986, section 2.1) or, as in a style sheet,
 * with a backslash (W3C CSS Syntax 3, section 4.3.7). Entities of XML are no names' matter: the
 * parser has replaced them.
 */
const underscored = /_x([0-9a-f]{2,6})_/gi;
const percents = /(?:%[0-9a-f]{2})+/gi;
const backslash = /\\(?:([0-9a-f]{1,6})\s?|(.))/gi;

export const hasEscapes = (name: string): boolean => /_x[0-9a-f]{2,6}_|%[0-9a-f]{2}|\\/i.test(name);

export const withoutEscapes = (name: string): string =>
  name
    .replace(underscored, (all, code: string) => character(code) ?? all)
    .replace(percents, (all) => {
      const bytes = Uint8Array.from(all.slice(1).split('%'), (pair) => Number.parseInt(pair, 16));
      try {
        return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
      } catch {
        // No text in UTF-8: a percent sign that stands for itself.
        return all;
      }
    })
    .replace(backslash, (all, code: string | undefined, plain: string | undefined) =>
      code === undefined ? plain! : (character(code) ?? all),
    );

const character = (hexadecimal: string): string | undefined => {
  const code = Number.parseInt(hexadecimal, 16);
  return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : undefined;
};
