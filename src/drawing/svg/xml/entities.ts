/**
 * Plain text entities declared in a document type declaration, with every limit that keeps them
 * harmless.
 */

/** What a drawing program writes (a handful of names for long addresses) fits many times over. */
export const entityLimits = {
  /** Entities declared. */
  count: 256,
  /** Characters of one entity, after its own references are filled in. */
  size: 65_536,
  /** Entities within entities. */
  nesting: 8,
  /** Characters that references may add to one document. */
  total: 4_000_000,
} as const;

/** What is wrong with a declaration. */
export class EntityFault extends Error {}

const predefined: ReadonlyMap<string, string> = new Map([
  ['lt', '<'],
  ['gt', '>'],
  ['amp', '&'],
  ['quot', '"'],
  ['apos', "'"],
]);

/**
 * The entities of a document type declaration (the text between `<!DOCTYPE` and its `>`), fully
 * filled in. The external subset is never fetched.
 * @throws EntityFault for external entities, parameter entities, markup inside an entity, loops,
 * and over the limits.
 */
export const readEntities = (doctype: string): ReadonlyMap<string, string> => {
  const open = doctype.indexOf('[');
  const declared = open < 0 ? new Map<string, string>() : readDeclarations(doctype, open + 1);
  if (declared.size > entityLimits.count) {
    throw new EntityFault(`${declared.size} entities are declared, more than ${entityLimits.count}`);
  }
  const filled = new Map(predefined);
  for (const name of declared.keys()) fill(name, declared, filled, []);
  return filled;
};

const readDeclarations = (text: string, from: number): Map<string, string> => {
  const declared = new Map<string, string>();
  let at = from;
  const skipTo = (end: string): void => {
    const found = text.indexOf(end, at);
    if (found < 0) throw new EntityFault('a declaration in the document type does not end');
    at = found + end.length;
  };
  for (;;) {
    while (/\s/.test(text.charAt(at))) at += 1;
    if (at >= text.length || text.charAt(at) === ']') return declared;
    if (text.startsWith('<!--', at)) {
      at += 4;
      skipTo('-->');
    } else if (text.startsWith('<?', at)) {
      skipTo('?>');
    } else if (text.charAt(at) === '%') {
      throw new EntityFault('a parameter entity is used in the document type');
    } else if (text.startsWith('<!ENTITY', at)) {
      const end = endOfDeclaration(text, at);
      const [name, value] = readEntity(text.slice(at + 8, end));
      // The first declaration of a name counts (XML 1.0, section 4.2).
      if (!declared.has(name)) declared.set(name, value);
      at = end + 1;
    } else if (text.startsWith('<!', at)) {
      at = endOfDeclaration(text, at) + 1;
    } else {
      throw new EntityFault('the document type declaration is malformed');
    }
  }
};

const endOfDeclaration = (text: string, from: number): number => {
  let quote = '';
  for (let at = from; at < text.length; at += 1) {
    const c = text.charAt(at);
    if (quote !== '') {
      if (c === quote) quote = '';
    } else if (c === '"' || c === "'") {
      quote = c;
    } else if (c === '>') {
      return at;
    }
  }
  throw new EntityFault('a declaration in the document type does not end');
};

const readEntity = (declaration: string): [name: string, value: string] => {
  const words = /^\s+(%\s+)?([^\s"'%&<>]+)\s+/.exec(declaration);
  if (words === null) throw new EntityFault('an entity declaration is malformed');
  const name = words[2]!;
  if (words[1] !== undefined) throw new EntityFault(`the parameter entity ${name} is declared`);
  const rest = declaration.slice(words[0].length).trim();
  if (/^(SYSTEM|PUBLIC)\b/.test(rest)) {
    throw new EntityFault(`the entity ${name} is external: it stands for another file`);
  }
  const quote = rest.charAt(0);
  if ((quote !== '"' && quote !== "'") || rest.length < 2 || rest.indexOf(quote, 1) !== rest.length - 1) {
    throw new EntityFault(`the declaration of the entity ${name} is malformed`);
  }
  return [name, rest.slice(1, -1)];
};

const fill = (
  name: string,
  declared: ReadonlyMap<string, string>,
  filled: Map<string, string>,
  open: readonly string[],
): string => {
  const known = filled.get(name);
  if (known !== undefined) return known;
  const text = declared.get(name);
  if (text === undefined) throw new EntityFault(`the entity ${name} is used but not declared`);
  if (open.includes(name)) throw new EntityFault(`the entity ${name} contains itself`);
  if (open.length >= entityLimits.nesting) {
    throw new EntityFault(`entities are nested more than ${entityLimits.nesting} deep`);
  }
  if (text.includes('%')) throw new EntityFault(`the entity ${name} uses a parameter entity`);
  let value = '';
  let at = 0;
  for (const reference of text.matchAll(/&(#x[0-9a-fA-F]+|#[0-9]+|[^\s;&]+);/g)) {
    value += text.slice(at, reference.index);
    const inner = reference[1]!;
    value += inner.startsWith('#') ? character(inner) : fill(inner, declared, filled, [...open, name]);
    at = reference.index + reference[0].length;
    if (value.length > entityLimits.size) break;
  }
  value += text.slice(at);
  if (value.length > entityLimits.size) {
    throw new EntityFault(`the entity ${name} holds more than ${entityLimits.size} characters`);
  }
  if (value.includes('<')) throw new EntityFault(`the entity ${name} holds markup`);
  filled.set(name, value);
  return value;
};

const character = (reference: string): string => {
  const code = reference.startsWith('#x')
    ? Number.parseInt(reference.slice(2), 16)
    : Number.parseInt(reference.slice(1), 10);
  const allowed = code === 9 || code === 10 || code === 13 || (code >= 32 && code <= 0x10ffff);
  if (!allowed || (code >= 0xd800 && code <= 0xdfff)) {
    throw new EntityFault(`the character reference &${reference}; stands for no character`);
  }
  return String.fromCodePoint(code);
};
