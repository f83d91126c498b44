/**
 * Circles added to a DXF file, all else of it as it was, byte by byte but for the next free handle
 * in the header: what the file had keeps its numbers and handles, and with them the names it is
 * read by.
 */
import { InputError } from '../../job/messages.js';
import { decimal } from '../write/cut-file.js';
import { tagsOf, utf16In } from './read-dxf.js';
import { BinaryTags } from './tags/binary-tags.js';
import { colourTags } from './tags/colour-tags.js';
import type { Tags } from './tags/tags.js';

/** In units of the file. */
export interface AddedCircle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

export interface CircleLook {
  readonly layer: string;
  /** `#rrggbb` */
  readonly stroke: string;
}

type Tag = readonly [code: number, value: string | number];

/** Up to release 12 (AC1009) entities have neither an owner nor subclasses. */
const firstWithClasses = 'AC1012';

/** @throws InputError for a file in UTF-16, which is no DXF to most programs */
export const withCircles = (
  bytes: Uint8Array,
  path: string,
  circles: readonly AddedCircle[],
  { layer, stroke }: CircleLook,
): Uint8Array => {
  if (utf16In(bytes) !== undefined) throw inUtf16(path);
  const tags = tagsOf(bytes, path);
  const plan = surveyed(tags);
  const encode = encoderFor(tags, newlineOf(bytes));
  const hasClasses = (plan.version ?? '') >= firstWithClasses;
  let last = BigInt(`0x${plan.lastHandle || '0'}`);
  const added = circles.flatMap(({ x, y, radius }): Tag[] => [
    [0, 'CIRCLE'],
    ...(plan.lastHandle === '' ? [] : ([[5, (++last).toString(16).toUpperCase()]] as const)),
    ...(hasClasses && plan.owner !== undefined ? ([[330, plan.owner]] as const) : []),
    ...(hasClasses ? ([[100, 'AcDbEntity']] as const) : []),
    [8, escaped(layer)],
    ...colourTags(stroke),
    ...(hasClasses ? ([[100, 'AcDbCircle']] as const) : []),
    [10, x],
    [20, y],
    [30, 0],
    [40, radius],
  ]);
  const section: Tag[] =
    plan.entitiesEnd === undefined ? [[0, 'SECTION'], [2, 'ENTITIES'], ...added, [0, 'ENDSEC']] : added;
  const parts: Uint8Array[] = [];
  let from = 0;
  const at = plan.entitiesEnd ?? plan.end;
  if (plan.seed !== undefined && plan.lastHandle !== '' && plan.seed.end <= at) {
    parts.push(bytes.subarray(0, plan.seed.begin), encode([[5, (last + 1n).toString(16).toUpperCase()]]));
    from = plan.seed.end;
  }
  parts.push(bytes.subarray(from, at), encode(section), bytes.subarray(at));
  return joined(parts);
};

interface Survey {
  readonly version?: string;
  /** Where the last tag of the entities begins; undefined where the file has none. */
  readonly entitiesEnd?: number;
  /** Where the last tag of the file begins. */
  readonly end: number;
  /** Hexadecimal, the largest; empty where nothing has one. */
  readonly lastHandle: string;
  /** Of the entities in the model space. */
  readonly owner?: string;
  /** The tag of the next free handle. */
  readonly seed?: { readonly begin: number; readonly end: number };
}

const surveyed = (tags: Tags): Survey => {
  const found: { -readonly [key in keyof Survey]: Survey[key] } = { end: 0, lastHandle: '' };
  let section = '';
  let variable = '';
  let isSectionNext = false;
  let isForeign = false;
  let onSheet = false;
  let owner: string | undefined;
  const noteOwner = (): void => {
    if (!onSheet && owner !== undefined) found.owner ??= owner;
    owner = undefined;
    onSheet = false;
  };
  while (tags.next()) {
    const { code } = tags;
    if (code === 102) isForeign = !tags.is('}');
    else if (code === 0) {
      isForeign = false;
      noteOwner();
      isSectionNext = tags.is('SECTION');
      if (tags.is('ENDSEC')) {
        if (section === 'ENTITIES') found.entitiesEnd = tags.begin;
        section = '';
      }
      if (tags.is('EOF')) {
        found.end = tags.begin;
        break;
      }
      variable = '';
    } else if (code === 2 && isSectionNext) {
      section = tags.text();
      isSectionNext = false;
    } else if (code === 9) variable = tags.text();
    else if (variable === '$ACADVER' && code === 1) found.version ??= tags.text();
    else if (code === 5 && variable === '$HANDSEED') {
      // Free itself, and so all below it may be in use.
      found.seed = { begin: tags.begin, end: tags.end };
      found.lastHandle = larger(found.lastHandle, before(tags.text()));
    } else if ((code === 5 || code === 105) && variable === '') {
      if (!isForeign) found.lastHandle = larger(found.lastHandle, tags.text());
    } else if (section === 'ENTITIES' && !isForeign) {
      if (code === 330) owner ??= tags.text();
      else if (code === 67) onSheet = tags.number() !== 0;
    }
  }
  return found;
};

const isHandle = (text: string): boolean => /^[0-9A-Fa-f]{1,16}$/.test(text);

const larger = (one: string, other: string): string => {
  const plain = other.replace(/^0+/, '');
  if (!isHandle(plain)) return one;
  if (plain.length !== one.length) return plain.length > one.length ? plain : one;
  return plain.toUpperCase() > one.toUpperCase() ? plain : one;
};

const before = (handle: string): string =>
  isHandle(handle) && BigInt(`0x${handle}`) > 0n ? (BigInt(`0x${handle}`) - 1n).toString(16) : '';

/** Names are ASCII in any code page when other letters stand by their numbers. */
const escaped = (name: string): string =>
  name.replace(
    /[^ -~]/g,
    (letter) => `\\U+${letter.charCodeAt(0).toString(16).toUpperCase().padStart(4, '0')}`,
  );

/** As the first line ends. */
const newlineOf = (bytes: Uint8Array): string => {
  const at = bytes.findIndex((byte) => byte === 10 || byte === 13);
  if (bytes[at] !== 13) return '\n';
  return bytes[at + 1] === 10 ? '\r\n' : '\r';
};

const encoderFor = (tags: Tags, newline: string): ((list: readonly Tag[]) => Uint8Array) => {
  if (tags instanceof BinaryTags) return (list) => joined(list.map((tag) => binaryTag(tag, tags.shortCodes)));
  return (list) =>
    new TextEncoder().encode(
      list
        .map(([code, value]) => `${String(code).padStart(3)}${newline}${written(value)}${newline}`)
        .join(''),
    );
};

const written = (value: string | number): string => (typeof value === 'string' ? value : decimal(value, 9));

const binaryTag = ([code, value]: Tag, shortCodes: boolean): Uint8Array => {
  const head = shortCodes ? (code < 255 ? [code] : [255, code & 255, code >> 8]) : [code & 255, code >> 8];
  if (typeof value === 'string') return Uint8Array.from([...head, ...new TextEncoder().encode(value), 0]);
  const size = code < 60 ? 8 : code < 80 ? 2 : 4;
  const view = new DataView(new ArrayBuffer(size));
  if (size === 8) view.setFloat64(0, value, true);
  else if (size === 2) view.setInt16(0, value, true);
  else view.setInt32(0, value, true);
  return Uint8Array.from([...head, ...new Uint8Array(view.buffer)]);
};

const joined = (parts: readonly Uint8Array[]): Uint8Array => {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
};

const inUtf16 = (path: string): InputError =>
  new InputError({
    found: 'a DXF file in UTF-16',
    expected: 'DXF as programs write it, to add marks to',
    where: { file: path },
    next: 'Export the drawing again, or save the file as UTF-8.',
  });
