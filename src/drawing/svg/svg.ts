/** SVG drawings: W3C SVG 1.1 and 2, as far as they say where edges lie. */

import { identity } from '../../geometry/affine.js';
import { type Box, emptyBox } from '../../geometry/point.js';
import type { LengthUnit, PixelsToInch } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import { edgeSdInAttribute } from '../edge-sd.js';
import type { AssumedScale, Drawing, Shape } from '../model/drawing.js';
import { LeftOutList } from '../model/left-out.js';
import type { ShapeStore } from '../model/shape-store.js';
import { ResolutionSearch } from './mentioned-resolution.js';
import { TooManyRules } from './style/cascade.js';
import type { Style } from './style/declarations.js';
import { inheritedBy, initial } from './style/properties.js';
import { scopeOf } from './style/selector.js';
import { lookAhead, tooManyRules } from './svg-ahead.js';
import { traitOf } from './svg-elements.js';
import { readPage } from './svg-page.js';
import { shapeElements } from './svg-shapes.js';
import { takeTitle } from './svg-title.js';
import { Instances, Keeper } from './svg-use.js';
import type { Frame } from './svg-viewport.js';
import { idOf, type UseDraft, Walk } from './svg-walk.js';
import { AttributeFault } from './xml/attribute-fault.js';
import { locateInAttribute, readXml, type XmlElement, type XmlHandler } from './xml/xml.js';

/** A title is read no farther, characters. */
const longestTitle = 1000;

/** Bytes of a short element with a form; most are longer. */
const usualElement = 50;

/**
 * Reads an SVG drawing. The file goes by as a stream: each shape is placed in the design frame as
 * soon as its start tag is read; of the file itself only what a `use` refers to is kept.
 *
 * @param options.units length of a unit of the drawing where it states none; where it contradicts
 * the drawing, it wins
 * @param options.dpi px to the inch; 96 where it is not said
 * @throws InputError for broken or hostile XML, malformed attributes, a page of unknown size,
 * coordinates out of reach
 */
export const readSvg = (bytes: Uint8Array, options: SvgOptions): Drawing => {
  const first = readWithBottom(bytes, options, 0);
  const { minX, maxX, minY } = first.drawing.box;
  if (!first.isBottomless || minX > maxX) return first.drawing;
  // The lowest line is the bottom edge of a page without one. It is known only now.
  return readWithBottom(bytes, options, -minY).drawing;
};

interface SvgOptions {
  readonly path: string;
  readonly units?: LengthUnit;
  readonly dpi?: PixelsToInch;
}

/** @param bottom height of a page that does not state it, mm */
const readWithBottom = (
  bytes: Uint8Array,
  options: SvgOptions,
  bottom: number,
): { readonly drawing: Drawing; readonly isBottomless: boolean } => {
  const { path } = options;
  const leftOut = new LeftOutList();
  const { referenced, cascade } = lookAhead(bytes, path, leftOut);
  const walk = new Walk(leftOut, cascade, bytes.length / usualElement);
  const keeper = new Keeper(referenced);
  const warnings: Warning[] = [];
  let units = '';
  let page: Box = emptyBox;
  let fromUserUnits = identity;
  let scale: AssumedScale | undefined;
  let isBottomless = false;
  let edgeSd: number | undefined;
  const resolution = new ResolutionSearch();

  /** Turns a fault of an attribute into an error of the file. */
  const guard = <T>(element: XmlElement, work: () => T): T => {
    try {
      return work();
    } catch (error) {
      if (error instanceof AttributeFault) throw located(error, element, bytes, path);
      if (error instanceof TooManyRules) throw tooManyRules(error, path, element.line);
      throw error;
    }
  };

  const openRoot = (element: XmlElement): Frame => {
    if (element.name !== 'svg' || !element.isSvg) {
      throw new InputError({
        found: `an XML file whose outermost element is ${element.name.slice(0, 40)}`,
        expected: 'an SVG drawing, with svg as its outermost element',
        where: { file: path, line: element.line },
        next: 'Name an SVG drawing.',
      });
    }
    const scope = scopeOf(element, undefined, true);
    const style = cascade.styleOf(element.attributes, scope);
    const read = readPage(element.attributes, style, options, bottom);
    refuseRootTransform(element, style);
    units = read.units;
    page = { minX: 0, minY: 0, maxX: read.width, maxY: read.height };
    fromUserUnits = read.matrix;
    scale = read.scale;
    edgeSd = edgeSdInAttribute(element.attributes['data-edge-sd']);
    isBottomless = read.isBottomless === true;
    warnings.push(...read.warnings);
    return {
      ...inheritedBy(element.attributes, style, initial),
      matrix: read.matrix,
      viewport: read.viewport,
      group: undefined,
      layers: [],
      scope,
      draws: true,
    };
  };

  const instances = new Instances(walk, keeper.kept, path, guard);
  const instanceNotes = new LeftOutList();
  /** What is wrong with an instance counts less than what is wrong with the file behind it. */
  let wrongInstance: InputError | undefined;
  const drawInstances = (use: UseDraft): void => {
    walk.leftOut = instanceNotes;
    try {
      instances.expand(use);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      wrongInstance = error;
    } finally {
      walk.leftOut = leftOut;
    }
  };
  let waiting = 0;
  /**
   * Of hundreds of thousands of uses none needs to be kept where what they show stands before them.
   * Once one has to wait, all do behind it: what they come to is told of in their order.
   */
  const drawUse = (): void => {
    const use = walk.uses.at(-1)!;
    if (waiting > 0 || !keeper.showsWhole(use.element)) {
      waiting = walk.uses.length;
      return;
    }
    walk.uses.pop();
    if (wrongInstance === undefined) drawInstances(use);
  };

  const frames: Frame[] = [];
  let title: string | undefined;
  const handler: XmlHandler = {
    traitOf,
    open: (element) => {
      keeper.enter(element);
      const parent = frames.at(-1);
      if (parent === undefined || !element.isSvg) resolution.element(element);
      const frame = guard(element, () =>
        parent === undefined ? openRoot(element) : walk.open(element, parent),
      );
      frames.push(frame);
      if (walk.uses.length > waiting) drawUse();
      if (element.name !== 'title' || !element.isSvg) return false;
      title = '';
      return true;
    },
    close: () => {
      keeper.leave();
      frames.pop();
      if (title === undefined) return;
      takeTitle(title, frames, walk);
      title = undefined;
    },
    text: (data) => {
      if (title !== undefined && title.length < longestTitle) title += data;
    },
    comment: (text, line) => resolution.comment(text, line),
    instruction: (target, _body, line) => {
      if (target !== 'xml-stylesheet') return;
      leftOut.note('style sheet', `line ${line}`, 'it is in another file, and other files are not fetched');
    },
  };
  readXml(bytes, path, handler);

  const { uses } = walk;
  const inFile = walk.shapes.count;
  const ends = uses.map((use) => {
    if (wrongInstance === undefined) drawInstances(use);
    return walk.shapes.count;
  });
  if (wrongInstance !== undefined) throw wrongInstance;
  leftOut.take(instanceNotes);
  const order = uses.length === 0 ? undefined : fileOrder(uses, ends, inFile);
  const shapes = namedShapes(walk.shapes, order, leftOut);
  const summary = leftOut.summary();
  if (summary !== undefined) {
    const message = `Not everything in the drawing was taken over as it stands: ${summary}. \`reseat list\` says where and why.`;
    warnings.push({ code: 'content-left-out', message });
  }
  const { box } = walk;
  const mentioned = resolution.found;
  const assumed = scale && { scale: mentioned === undefined ? scale : { ...scale, mentioned } };
  const list = leftOut.toList();
  const known = edgeSd === undefined ? {} : { edgeSd };
  const drawing = {
    path,
    units,
    box,
    page,
    fromUserUnits,
    ...known,
    ...assumed,
    shapes,
    leftOut: list,
    warnings,
  };
  return { drawing, isBottomless };
};

/**
 * SVG 2 turns a transform of the outermost element about its middle, older programs about its
 * corner.
 */
const refuseRootTransform = (element: XmlElement, style: Style): void => {
  const transform = style.get('transform') ?? element.attributes.transform;
  if (transform === undefined || /^\s*(none)?\s*$/.test(transform)) return;
  throw new AttributeFault({
    attribute: undefined,
    found: 'a transform on the outermost svg element, which programs do not agree about',
    expected: 'the transform on a group inside',
    next: 'Put everything into a group and move the transform there.',
  });
};

const located = (fault: AttributeFault, element: XmlElement, bytes: Uint8Array, path: string): InputError => {
  const spot =
    fault.attribute === undefined
      ? undefined
      : locateInAttribute(bytes, path, element, fault.attribute, fault.offset);
  return new InputError({
    found: fault.found,
    expected: fault.expected,
    where: { file: path, ...(spot ?? { line: element.line }), element: idOf(element) ?? element.name },
    next: fault.next,
  });
};

/**
 * The shapes in the order of the file, by their numbers: those a `use` shows were drawn after all
 * others.
 * @param ends for each use, the number of shapes when it was drawn
 * @param inFile the number of shapes before the first was drawn
 */
const fileOrder = (uses: readonly UseDraft[], ends: readonly number[], inFile: number): Uint32Array => {
  const order = new Uint32Array(ends.at(-1)!);
  let at = 0;
  let next = 0;
  const take = (from: number, end: number): void => {
    for (let n = from; n < end; n += 1) {
      order[at] = n;
      at += 1;
    }
  };
  for (const [i, { behind }] of uses.entries()) {
    take(next, behind);
    next = behind;
    take(i === 0 ? inFile : ends[i - 1]!, ends[i]!);
  }
  take(next, inFile);
  return order;
};

/**
 * Ids are unique in a drawing: the first bearer keeps an id, shapes without one are named by kind
 * and number.
 */
const namedShapes = (store: ShapeStore, order: Uint32Array | undefined, leftOut: LeftOutList): Shape[] => {
  const given = new Set<string>();
  const again: number[] = [];
  let likeMadeUp = false;
  for (let i = 0; i < store.count; i += 1) {
    const n = order?.[i] ?? i;
    const id = store.givenId(n);
    if (id === undefined) continue;
    const before = given.size;
    if (given.add(id).size === before) {
      again.push(i);
      continue;
    }
    store.setId(n, id, true);
    likeMadeUp ||= isLikeMadeUp(id);
  }
  const madeUp = (n: number, i: number): string => {
    let free = `${store.elementOf(n)}-${i + 1}`;
    while (given.has(free)) free += '-';
    return free;
  };
  for (const i of again) {
    const n = order?.[i] ?? i;
    const id = store.givenId(n)!;
    const name = madeUp(n, i);
    const why = 'the first shape with an id keeps it, and the others are named by kind and place in the file';
    leftOut.note('id used twice', `line ${store.lineOf(n)} (${id.slice(0, 40)}, here ${name})`, why);
    store.setId(n, name, false);
  }
  if (likeMadeUp) {
    for (let i = 0; i < store.count; i += 1) {
      const n = order?.[i] ?? i;
      if (store.givenId(n) === undefined) store.setId(n, madeUp(n, i), false);
    }
  }
  return store.shapes(order);
};

/** Whether a made-up name could be the same: an element, a number, and hyphens behind it. */
const isLikeMadeUp = (id: string): boolean => {
  const dash = id.indexOf('-');
  return dash > 0 && shapeElements.has(id.slice(0, dash)) && /^-\d+-*$/.test(id.slice(dash));
};
