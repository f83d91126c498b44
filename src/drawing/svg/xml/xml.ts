/**
 * XML as a stream of elements: nothing is expanded or fetched, and no tree of the file is built.
 */

import { SaxesParser } from 'saxes';
import { limits } from '../../../job/bounds.js';
import { InputError } from '../../../job/messages.js';
import { EntityFault, entityLimits, readEntities } from './entities.js';
import { decodePieces, decodeWhole } from './xml-text.js';

/** Elements within elements; a drawing of real life stays under a few dozen. */
export const deepestNesting = limits.xmlNesting.most;

export const svgNamespace = 'http://www.w3.org/2000/svg';

export interface XmlElement {
  /** Name without its prefix. */
  readonly name: string;
  /**
   * In the SVG namespace; where the outermost element is in no namespace at all, those in none too.
   */
  readonly isSvg: boolean;
  /** By name as written, prefix included. */
  readonly attributes: Readonly<Record<string, string | undefined>>;
  /** The traits of its attributes, put together; see `XmlHandler.traitOf`. */
  readonly traits: number;
  /** Where the start tag stands, counted from 1. */
  readonly line: number;
  /** Index in the decoded text just behind the name of the start tag. */
  readonly position: number;
}

export interface XmlHandler {
  /**
   * A bit or none for an attribute, by its name. The parser has each name at hand once, which costs
   * less than to look at the attributes of a million elements one by one.
   */
  traitOf?(attribute: string): number;
  /** True: the character data directly inside this element are wanted, in `text`. */
  open(element: XmlElement): boolean;
  close(): void;
  /** @param lastLine the line on which the data end */
  text?(data: string, lastLine: number): void;
  comment?(text: string, line: number): void;
  /** A processing instruction: its target and the rest. */
  instruction?(target: string, body: string, line: number): void;
}

/**
 * Reads a whole file, or its first `end` bytes, which then may stop short of the end of the
 * document.
 * @throws InputError with line and column for anything that is not well-formed, nests deeper than
 * `deepestNesting`, or declares entities that are not plain short texts.
 */
export const readXml = (bytes: Uint8Array, path: string, handler: XmlHandler, end = bytes.length): void => {
  const parser = new SaxesParser({ xmlns: false, position: true });
  const namespaces = new Namespaces();
  let depth = 0;
  let line = 1;
  let position = 0;
  let declares = false;
  let traits = 0;
  let rootIsBare = false;

  const fault = (found: string, expected: string, next: string): InputError =>
    new InputError({
      found,
      expected,
      where: { file: path, line: parser.line, column: Math.max(1, parser.column) },
      next,
    });
  parser.on('error', (error) => {
    throw fault(
      `broken XML: ${error.message.replace(/^\d+:\d+: /, '').replace(/\.$/, '')}`,
      'well-formed XML',
      'Open the drawing in the program that made it and export it again.',
    );
  });
  parser.on('doctype', (doctype) => {
    try {
      parser.ENTITIES = countingEntities(readEntities(doctype), (name) =>
        fault(
          `references to entities (${name} among them) that add more than ${entityLimits.total} characters`,
          'a drawing without such entities',
          'Export the drawing again without entities.',
        ),
      );
    } catch (error) {
      if (!(error instanceof EntityFault)) throw error;
      throw fault(
        error.message,
        'entities that are plain short texts, if any',
        'Remove the document type declaration, or export the drawing again without entities.',
      );
    }
  });
  parser.on('opentagstart', () => {
    line = parser.line;
    position = parser.position - 1;
    declares = false;
    traits = 0;
    depth += 1;
    if (depth > deepestNesting) {
      throw fault(
        `elements nested more than ${deepestNesting} deep`,
        `at most ${deepestNesting} levels`,
        'Ungroup the drawing before exporting it.',
      );
    }
  });
  parser.on('attribute', ({ name }) => {
    if (name.startsWith('xmlns')) declares = true;
    if (handler.traitOf !== undefined) traits |= handler.traitOf(name);
  });
  const textListener = (data: string): void => handler.text?.(data, parser.line);
  let listening = 0;
  parser.on('opentag', (tag) => {
    if (listening > 0) stopListening();
    if (declares) namespaces.declare(depth, tag.attributes);
    const colon = tag.name.indexOf(':');
    const namespace = namespaces.of(colon < 0 ? '' : tag.name.slice(0, colon));
    const isBare = namespace === undefined && colon < 0;
    if (depth === 1) rootIsBare = isBare;
    const wantsText = handler.open({
      name: colon < 0 ? tag.name : tag.name.slice(colon + 1),
      isSvg: namespace === svgNamespace || (isBare && rootIsBare),
      attributes: tag.attributes,
      traits,
      line,
      position,
    });
    if (wantsText) {
      listening = depth;
      parser.on('text', textListener);
      parser.on('cdata', textListener);
    }
  });
  const stopListening = (): void => {
    listening = 0;
    parser.off('text');
    parser.off('cdata');
  };
  parser.on('closetag', () => {
    if (listening > 0) stopListening();
    namespaces.leave(depth);
    depth -= 1;
    handler.close();
  });
  if (handler.instruction !== undefined) {
    parser.on('processinginstruction', ({ target, body }) =>
      handler.instruction?.(target, body, parser.line),
    );
  }
  if (handler.comment !== undefined) {
    parser.on('comment', (text) => handler.comment?.(text, parser.line));
  }
  const part = end < bytes.length ? bytes.subarray(0, end) : bytes;
  for (const piece of decodePieces(part, path, () => parser.line)) parser.write(piece);
  if (end >= bytes.length) parser.close();
};

/** The bindings of prefixes, kept only for the few elements that declare any. */
class Namespaces {
  private readonly scopes: { readonly depth: number; readonly bindings: ReadonlyMap<string, string> }[] = [];

  declare(depth: number, attributes: Readonly<Record<string, string>>): void {
    const bindings = new Map<string, string>();
    for (const name of Object.keys(attributes)) {
      if (name === 'xmlns') bindings.set('', attributes[name]!);
      else if (name.startsWith('xmlns:')) bindings.set(name.slice(6), attributes[name]!);
    }
    this.scopes.push({ depth, bindings });
  }

  leave(depth: number): void {
    if (this.scopes.at(-1)?.depth === depth) this.scopes.pop();
  }

  /** Undefined: the prefix is bound to nothing. */
  of(prefix: string): string | undefined {
    for (let i = this.scopes.length - 1; i >= 0; i -= 1) {
      const bound = this.scopes[i]!.bindings.get(prefix);
      if (bound !== undefined) return bound === '' ? undefined : bound;
    }
    return undefined;
  }
}

/**
 * The entities as the parser looks them up, with an account of what their references add to the
 * document.
 */
const countingEntities = (
  entities: ReadonlyMap<string, string>,
  tooMany: (name: string) => InputError,
): Record<string, string> => {
  let added = 0;
  return new Proxy<Record<string, string>>(Object.create(null), {
    get: (_target, name) => {
      const value = typeof name === 'string' ? entities.get(name) : undefined;
      if (value === undefined) return undefined;
      added += value.length;
      if (added > entityLimits.total) throw tooMany(String(name));
      return value;
    },
  });
};

/**
 * Line and column (from 1) of a character in an attribute's value. The file is decoded once more,
 * which only a message is worth. A named entity counts as one character of the value, so behind one
 * the column is that of a nearby one.
 */
export const locateInAttribute = (
  bytes: Uint8Array,
  path: string,
  element: XmlElement,
  attribute: string,
  offset: number,
): { line: number; column: number } | undefined => {
  const text = decodeWhole(bytes, path);
  let at = element.position;
  for (;;) {
    const head = /[^>]*?([^\s=<>"'/]+)\s*=\s*(["'])/y;
    head.lastIndex = at;
    const match = head.exec(text);
    if (match === null) return undefined;
    at += match[0].length;
    if (match[1] === attribute) break;
    at = text.indexOf(match[2]!, at) + 1;
    if (at === 0) return undefined;
  }
  for (let seen = 0; seen < offset; seen += 1) {
    const reference = text.charAt(at) === '&' ? text.indexOf(';', at) : -1;
    if (reference >= 0) at = reference + 1;
    else at += text.startsWith('\r\n', at) ? 2 : 1;
  }
  const before = text.slice(0, at).split(/\r\n|\r|\n/);
  return { line: before.length, column: before.at(-1)!.length + 1 };
};
