/**
 * A drawing with marks added to it, to be read back as the drawing of a job.
 *
 * In its own format the file stays as it is: an SVG gets one group more at its end, a DXF circles
 * after its last entity. In the other format it is written anew (`converted-drawing.ts`).
 */
import { apply, invert, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Roles } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { type AddedCircle, type CircleLook, withCircles } from '../dxf/add-circles.js';
import { parseColour } from '../model/colour.js';
import type { Drawing } from '../model/drawing.js';
import { isSvg } from '../read.js';
import { knownNames } from '../roles/drawn-names.js';
import type { RoleAssignment } from '../roles/roles.js';
import { idMadeOf } from '../svg/svg-title.js';
import { decodeWhole } from '../svg/xml/xml-text.js';
import { convertedDrawing } from './converted-drawing.js';
import { decimal } from './cut-file.js';

/** A mark to add: a small circle about it. Design frame, mm. */
export interface NewMark {
  readonly name: string;
  readonly at: Point;
}

export interface MarkedDrawingInput {
  readonly drawing: Drawing;
  /** The file it was read from. */
  readonly bytes: Uint8Array;
  readonly marks: readonly NewMark[];
  /** What its shapes are to the job. */
  readonly roles: RoleAssignment;
  /** Names of shapes that the job refers to beside its roles. */
  readonly names: readonly string[];
}

/**
 * The first name the job looks for marks under; the usual one where it names them by colour only.
 */
export const layerForMarks = ({ marks }: Roles): string =>
  marks.find(({ text }) => !/^(stroke:|not\s)/i.test(text))?.text ?? 'marks';

/** Told apart on a screen, and each with a number in DXF. */
const usualStrokes = ['#000000', '#ff00ff', '#00ffff', '#ff0000', '#00ff00', '#0000ff', '#ffff00'];

/**
 * The colour by which the job finds its marks, where it does so; otherwise one that means nothing
 * to it.
 */
export const strokeForMarks = ({ marks, openings, outline }: Roles): string => {
  const named = (entries: Roles['marks'], form: RegExp): string[] =>
    entries.flatMap(({ text }) => parseColour(form.exec(text)?.[1] ?? '') ?? []);
  const own = named(marks, /^stroke\s*:(.*)$/i).find((colour) => colour !== 'none');
  if (own !== undefined) return own;
  const spoken = new Set(named([...marks, ...openings, ...outline], /^(?:not\s+)?stroke\s*:(.*)$/i));
  return usualStrokes.find((colour) => !spoken.has(colour)) ?? usualStrokes[0]!;
};

export type DrawingFormat = 'svg' | 'dxf';

/** mm: seen, and small enough not to matter where it is burnt into the surface. */
export const markRadius = 1;

/** @throws InputError for a name that asks for another format */
export const drawingFormatOf = (path: string): DrawingFormat => {
  const ending = /[^/\\]\.(svg|dxf)$/i.exec(path)?.[1]?.toLowerCase();
  if (ending === 'svg' || ending === 'dxf') return ending;
  throw new InputError({
    found: 'the name of a drawing that ends in neither .svg nor .dxf',
    expected: 'a name ending in .svg or .dxf',
    where: { file: path },
    next: 'Give the drawing such a name: the format follows from it. A list of the places is printed without -o, and with --json as data.',
  });
};

export interface MarkedDrawing {
  readonly content: string | Uint8Array;
  /** True where the file was written anew, and its shapes may bear other names. */
  readonly anew: boolean;
}

/**
 * @throws InputError for a file that nothing can be added to, for a layer that nobody sees, and for
 * another format that does not hold what the job needs of the drawing
 */
export const markedDrawing = (input: MarkedDrawingInput, format: DrawingFormat): MarkedDrawing => {
  const { drawing, bytes, marks, roles } = input;
  const look = { layer: layerForMarks(roles.selectors), stroke: strokeForMarks(roles.selectors) };
  const own = isSvg(bytes, drawing.path) ? 'svg' : 'dxf';
  if (own !== format) {
    return { content: convertedDrawing({ ...input, ...look, markRadius }, format), anew: true };
  }
  refuseUnseen(drawing, look.layer);
  const toFile = fileFrame(drawing);
  const radius = markRadius * Math.sqrt(Math.abs(toFile[0] * toFile[3] - toFile[1] * toFile[2]));
  const circles = marks.map(({ name, at }) => ({ name, ...apply(toFile, at), radius }));
  const content =
    format === 'svg' ? withGroup(input, circles, look) : withCircles(bytes, drawing.path, circles, look);
  return { content, anew: false };
};

/** Marks in such a layer would be neither seen nor cut, nor found by the job. */
const refuseUnseen = ({ path, unseenLayers }: Drawing, layer: string): void => {
  const why = unseenLayers?.get(layer.toUpperCase());
  if (why === undefined) return;
  throw new InputError({
    found: `the layer "${layer}" for the new marks, which is ${why} in the drawing`,
    expected: 'a layer that is seen',
    where: { file: path },
    next: `${{ off: 'Switch it on', frozen: 'Thaw it', 'not plotted': 'Have it plotted' }[why]} in your drawing program and save the drawing, or have the marked one written as SVG.`,
  });
};

/** From the design frame to the units of the file. */
const fileFrame = ({ fromUserUnits, path }: Drawing): Matrix => {
  const toFile = fromUserUnits && invert(fromUserUnits);
  if (toFile !== undefined) return toFile;
  throw new InputError({
    found: 'a drawing of no known scale',
    expected: 'a drawing whose units are known',
    where: { file: path },
    next: 'Export the drawing again.',
  });
};

/** The end of the outermost element, with nothing but comments and the like behind it. */
const end = /<\/((?:[\w.-]+:)?)svg\s*>(?=(?:\s|<!--[\s\S]*?-->|<\?[\s\S]*?\?>)*$)/;

const withGroup = (
  { drawing, bytes }: MarkedDrawingInput,
  circles: readonly (AddedCircle & { readonly name: string })[],
  { layer, stroke }: CircleLook,
): string => {
  const text = decodeWhole(bytes, drawing.path);
  const found = end.exec(text);
  if (found === null) {
    throw new InputError({
      found: 'an SVG file whose end is not that of its outermost element',
      expected: 'a drawing that ends in </svg>',
      where: { file: drawing.path },
      next: 'Export the drawing again.',
    });
  }
  const prefix = found[1]!;
  const n = (value: number): string => decimal(value, 6);
  // Two elements must not bear one id; a title names the layer as well.
  const taken = new Set(knownNames(drawing.shapes));
  const name = attribute(layer);
  // A hidden group's id is none of a shape.
  const isTaken = (id: string): boolean =>
    taken.has(id) || text.includes(`id="${attribute(id)}"`) || text.includes(`id='${attribute(id)}'`);
  const made = idMadeOf(layer);
  let id = made;
  for (let n = 2; isTaken(id); n += 1) id = `${made}-${n}`;
  const title = id === layer ? '' : `<${prefix}title>${name}</${prefix}title>`;
  const group = [
    `<${prefix}g id="${attribute(id)}" fill="none" stroke="${stroke}" stroke-width="${n((circles[0]?.radius ?? 0) / 5)}">${title}`,
    ...circles.map(
      (circle) =>
        `  <${prefix}circle id="${attribute(circle.name)}" cx="${n(circle.x)}" cy="${n(circle.y)}" r="${n(circle.radius)}"/>`,
    ),
    `</${prefix}g>`,
    '',
  ];
  const whole = text.slice(0, found.index) + group.join('\n') + text.slice(found.index);
  // What is written is UTF-8, whatever it was.
  return whole.replace(/^(\s*<\?xml[^>]*?encoding\s*=\s*)(["'])[^"']*\2/, '$1$2UTF-8$2');
};

const attribute = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/"/g, '&quot;');
