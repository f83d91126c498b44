/** SVG drawings: W3C SVG 1.1 and 2, as far as they say where edges lie. */
import { identity } from '../geometry/affine.js';
import { pathBox } from '../geometry/curve.js';
import { type Box, emptyBox, joinBoxes } from '../geometry/point.js';
import type { LengthUnit, PixelsToInch } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { AttributeFault } from './attribute-fault.js';
import type { Drawing, Group, Shape } from './drawing.js';
import { LeftOutList } from './left-out.js';
import { type Style, TooManyRules } from './style/cascade.js';
import { inheritedBy, initial } from './style/properties.js';
import { scopeOf } from './style/selector.js';
import { lookAhead, tooManyRules } from './svg-ahead.js';
import { readPage } from './svg-page.js';
import { Instances, Keeper } from './svg-use.js';
import { type Frame, idOf, type ShapeDraft, Walk } from './svg-walk.js';
import { locateInAttribute, readXml, type XmlElement, type XmlHandler } from './xml.js';

/**
 * Reads an SVG drawing. The file goes by as a stream: each shape is placed in the design frame as soon as its start tag is
 * read; of the file itself only what a `use` refers to is kept.
 *
 * @param options.units length of a unit of the drawing where it states none; where it contradicts the drawing, it wins
 * @param options.dpi px to the inch; 96 where it is not said
 * @throws InputError for broken or hostile XML, malformed attributes, a page of unknown size, coordinates out of reach
 */
export const readSvg = (
  bytes: Uint8Array,
  options: { readonly path: string; readonly units?: LengthUnit; readonly dpi?: PixelsToInch },
): Drawing => {
  const { path } = options;
  const leftOut = new LeftOutList();
  const { referenced, cascade } = lookAhead(bytes, path, leftOut);
  const walk = new Walk(leftOut, cascade);
  const keeper = new Keeper(referenced);
  const warnings: Warning[] = [];
  let units = '';
  let page: Box = emptyBox;
  let fromUserUnits = identity;

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
    const read = readPage(element.attributes, style, options);
    refuseRootTransform(element, style);
    units = read.units;
    page = { minX: 0, minY: 0, maxX: read.width, maxY: read.height };
    fromUserUnits = read.matrix;
    warnings.push(...read.warnings);
    return {
      ...inheritedBy(element.attributes, style, initial),
      matrix: read.matrix,
      viewport: read.viewport,
      scope,
      draws: true,
    };
  };

  const frames: Frame[] = [];
  const handler: XmlHandler = {
    open: (element) => {
      keeper.enter(element);
      const parent = frames.at(-1);
      const frame = guard(element, () =>
        parent === undefined ? openRoot(element) : walk.open(element, parent),
      );
      frames.push(frame);
      return false;
    },
    close: () => {
      keeper.leave();
      frames.pop();
    },
    instruction: (target, _body, line) => {
      if (target !== 'xml-stylesheet') return;
      leftOut.note('style sheet', `line ${line}`, 'it is in another file, and other files are not fetched');
    },
  };
  readXml(bytes, path, handler);

  const instances = new Instances(walk, keeper.kept, path, guard);
  const drafts = walk.drafts.flatMap((draft) => (draft.kind === 'shape' ? [draft] : instances.expand(draft)));
  const shapes = nameShapes(drafts, leftOut);
  const summary = leftOut.summary();
  if (summary !== undefined) {
    const message = `Not everything in the drawing was taken over as it stands: ${summary}. \`reseat list\` says where and why.`;
    warnings.push({ code: 'content-left-out', message });
  }
  const box = boxOf(drafts);
  return { path, units, box, page, fromUserUnits, shapes, leftOut: leftOut.toList(), warnings };
};

/** SVG 2 turns a transform of the outermost element about its middle, older programs about its corner. */
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

/** Ids are unique in a drawing: the first bearer keeps an id, shapes without one are named by kind and number. */
const nameShapes = (drafts: readonly ShapeDraft[], leftOut: LeftOutList): Shape[] => {
  const bearers = new Map<string, number>();
  drafts.forEach((draft, i) => {
    if (draft.id !== undefined && !bearers.has(draft.id)) bearers.set(draft.id, i);
  });
  const layersOf = layerNames();
  return drafts.map((draft, i) => {
    const { id, group, stroke } = draft;
    const named = id !== undefined && bearers.get(id) === i;
    const given = named ? id : madeUpName(`${draft.element}-${i + 1}`, bearers);
    if (!named && id !== undefined) {
      const why =
        'the first shape with an id keeps it, and the others are named by kind and place in the file';
      leftOut.note('id used twice', `line ${draft.line} (${id.slice(0, 40)}, here ${given})`, why);
    }
    return {
      id: given,
      named,
      layers: layersOf(group),
      ...(draft.labels.length > 0 ? { labels: draft.labels } : {}),
      ...(group === undefined ? {} : { group }),
      element: draft.element,
      paths: draft.paths,
      ...(stroke === undefined ? {} : { stroke }),
      line: draft.line,
    };
  });
};

const madeUpName = (name: string, taken: ReadonlyMap<string, number>): string => {
  let free = name;
  while (taken.has(free)) free += '-';
  return free;
};

/** The names of a group and all groups around it, innermost first, worked out once for each group. */
const layerNames = (): ((group: Group | undefined) => readonly string[]) => {
  const known = new Map<Group, readonly string[]>();
  const layersOf = (group: Group | undefined): readonly string[] => {
    if (group === undefined) return [];
    let names = known.get(group);
    if (names === undefined) {
      names = [...new Set([...group.names, ...layersOf(group.parent)])];
      known.set(group, names);
    }
    return names;
  };
  return layersOf;
};

/** The exact box. Most shapes lie within the box of those before them, hull and all, and need no closer look. */
const boxOf = (drafts: readonly ShapeDraft[]): Box => {
  let box = emptyBox;
  for (const { hull, paths } of drafts) {
    const within =
      hull.minX >= box.minX && hull.minY >= box.minY && hull.maxX <= box.maxX && hull.maxY <= box.maxY;
    if (!within) box = paths.reduce((joined, path) => joinBoxes(joined, pathBox(path)), box);
  }
  return box;
};
