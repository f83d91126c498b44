/**
 * A drawing with marks added to it, to be read back as the drawing of a job.
 *
 * SVG to SVG: the file as it is, with one group more at its end, so that nothing of it is lost. Otherwise written anew
 * from what was read, shape by shape with layers and ids: lines and arcs stay what they are, other curves become arcs.
 */
import { apply, invert } from '../geometry/affine.js';
import { segmentToSpans } from '../geometry/arc-spline.js';
import type { Box, Point } from '../geometry/point.js';
import { spanToCurve } from '../geometry/span.js';
import type { Roles } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { type CutFile, type CutFilePath, decimal } from './cut-file.js';
import type { Drawing } from './drawing.js';
import { knownNames } from './selectors.js';
import { writeDxf } from './write-dxf.js';
import { writeSvg } from './write-svg.js';
import { decodeWhole } from './xml-text.js';

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
  /** Name of the layer they go into: that of the job's marks. */
  readonly layer: string;
}

/** The first name the job looks for marks under; the usual one where it names them by colour only. */
export const layerForMarks = ({ marks }: Roles): string =>
  marks.find(({ text }) => !/^(stroke:|not\s)/i.test(text))?.text ?? 'marks';

export type DrawingFormat = 'svg' | 'dxf';

/** mm: seen, and small enough not to matter where it is burnt into the surface. */
const markRadius = 1;
/** Bound on the distance of the arcs that stand for curves, mm. */
const curveTolerance = 0.001;

/** @throws InputError for a name that asks for another format */
export const drawingFormatOf = (path: string): DrawingFormat => {
  const ending = /[^/\\]\.(svg|dxf)$/i.exec(path)?.[1]?.toLowerCase();
  if (ending === 'svg' || ending === 'dxf') return ending;
  throw new InputError({
    found: 'the name of a drawing that ends in neither .svg nor .dxf',
    expected: 'a name ending in .svg or .dxf',
    where: { file: path },
    next: 'Give the drawing such a name: the format follows from it.',
  });
};

/** @throws InputError where a drawing with negative coordinates would have to become an SVG page */
export const markedDrawing = (input: MarkedDrawingInput, format: DrawingFormat): string =>
  format === 'svg' && input.drawing.fromUserUnits !== undefined ? withGroup(input) : rewritten(input, format);

/** The end of the outermost element, with nothing but comments and the like behind it. */
const end = /<\/((?:[\w.-]+:)?)svg\s*>(?=(?:\s|<!--[\s\S]*?-->|<\?[\s\S]*?\?>)*$)/;

const withGroup = ({ drawing, bytes, marks, layer }: MarkedDrawingInput): string => {
  const text = decodeWhole(bytes, drawing.path);
  const found = end.exec(text);
  const toUser = invert(drawing.fromUserUnits!);
  if (found === null || toUser === undefined) {
    throw new InputError({
      found: 'an SVG file whose end is not that of its outermost element',
      expected: 'a drawing that ends in </svg>',
      where: { file: drawing.path },
      next: 'Export the drawing again.',
    });
  }
  const prefix = found[1]!;
  const radius = markRadius * Math.sqrt(Math.abs(toUser[0] * toUser[3]));
  const n = (value: number): string => decimal(value, 6);
  // Two elements must not bear one id; a label names the layer as well.
  const taken = new Set(knownNames(drawing.shapes));
  const name = attribute(layer);
  const naming = taken.has(layer) ? `data-name="${name}"` : `id="${name}"`;
  const group = [
    `<${prefix}g ${naming} fill="none" stroke="#000000" stroke-width="${n(radius / 5)}">`,
    ...marks.map((mark) => {
      const { x, y } = apply(toUser, mark.at);
      return `  <${prefix}circle id="${attribute(mark.name)}" cx="${n(x)}" cy="${n(y)}" r="${n(radius)}"/>`;
    }),
    `</${prefix}g>`,
    '',
  ];
  const whole = text.slice(0, found.index) + group.join('\n') + text.slice(found.index);
  // What is written is UTF-8, whatever it was.
  return whole.replace(/^(\s*<\?xml[^>]*?encoding\s*=\s*)(["'])[^"']*\2/, '$1$2UTF-8$2');
};

const attribute = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/"/g, '&quot;');

const rewritten = ({ drawing, marks, layer }: MarkedDrawingInput, format: DrawingFormat): string => {
  const { box } = drawing;
  if (format === 'svg' && (box.minX < 0 || box.minY < 0)) {
    throw new InputError({
      found: `a drawing that reaches to (${decimal(box.minX, 3)}, ${decimal(box.minY, 3)})`,
      expected: 'no negative coordinates, for an SVG page begins at its corner',
      where: { file: drawing.path },
      next: 'Write a DXF file instead: -o FILE.dxf.',
    });
  }
  const shapes = drawing.shapes.flatMap(({ id, layers, paths }) =>
    paths.flatMap(({ segments, closed }): CutFilePath[] => {
      const curves = segments.flatMap((segment) => segmentToSpans(segment, curveTolerance)).map(spanToCurve);
      if (curves.length === 0) return [];
      return [{ id, layer: layers[0] ?? '0', segments: curves, ...(closed ? {} : { open: true }) }];
    }),
  );
  const circles = marks.map(
    ({ name, at }): CutFilePath => ({
      id: name,
      layer,
      segments: [{ kind: 'arc', centre: at, radius: markRadius, start: 0, sweep: 2 * Math.PI }],
    }),
  );
  const file: CutFile = {
    axes: 'y-up',
    ...sizeOf(drawing.page ?? box),
    // Shapes of a layer together: a layer is one group in SVG.
    paths: [...shapes, ...circles].sort((a, b) => orderOf(a.layer) - orderOf(b.layer)),
  };
  return format === 'svg' ? writeSvg(file) : writeDxf(file);

  function orderOf(name: string): number {
    return name === layer ? shapes.length : shapes.findIndex((shape) => shape.layer === name);
  }
};

const sizeOf = ({ maxX, maxY }: Box): Pick<CutFile, 'size'> =>
  Number.isFinite(maxX) && Number.isFinite(maxY) ? { size: [maxX, maxY] } : {};
