/** The few properties of a `style` attribute that decide what is drawn and where. */

/** Properties by lower-case name; a later one counts. `!important` means nothing more within one attribute. */
export const parseStyle = (text: string): ReadonlyMap<string, string> => {
  const properties = new Map<string, string>();
  for (const declaration of splitDeclarations(text.replace(/\/\*[\s\S]*?\*\//g, ' '))) {
    const colon = declaration.indexOf(':');
    if (colon < 0) continue;
    const value = declaration.slice(colon + 1).replace(/!\s*important\s*$/i, '');
    properties.set(declaration.slice(0, colon).trim().toLowerCase(), value.trim());
  }
  return properties;
};

/** Split at semicolons outside quotes and brackets. */
const splitDeclarations = (text: string): string[] => {
  const parts: string[] = [];
  let quote = '';
  let brackets = 0;
  let from = 0;
  for (let at = 0; at < text.length; at += 1) {
    const c = text.charAt(at);
    if (quote !== '') {
      if (c === quote) quote = '';
    } else if (c === '"' || c === "'") quote = c;
    else if (c === '(') brackets += 1;
    else if (c === ')') brackets -= 1;
    else if (c === ';' && brackets <= 0) {
      parts.push(text.slice(from, at));
      from = at + 1;
    }
  }
  parts.push(text.slice(from));
  return parts;
};

/** Properties that move or shape what is drawn (SVG 2, sections 8.5 and 10); as attributes they are read. */
export const shapingProperties: ReadonlySet<string> = new Set([
  'transform',
  'translate',
  'rotate',
  'scale',
  'offset-path',
  'd',
  'x',
  'y',
  'cx',
  'cy',
  'r',
  'rx',
  'ry',
  'width',
  'height',
]);

/** True when a style sheet holds rules that could change what is drawn, not just how it looks. */
export const sheetMatters = (sheet: string): boolean => {
  const rules = sheet.replace(/\/\*[\s\S]*?\*\//g, ' ');
  if (/@import/i.test(rules)) return true;
  for (const [, name] of rules.matchAll(/[{;]\s*([a-zA-Z-]+)\s*:/g)) {
    const property = name!.toLowerCase();
    if (shapingProperties.has(property) || appearing.has(property)) return true;
  }
  return false;
};

const appearing: ReadonlySet<string> = new Set(['display', 'visibility', 'clip-path', 'mask', 'stroke']);
