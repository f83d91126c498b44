/** What a plan is drawn from: the room for it, what of it is seen, and by how much errors and margins are enlarged. */
import type { Box, Matrix } from '../../internal.js';
import type { Sheet } from '../sheet.js';
import { roundBelow } from '../text.js';
import type { DrawingView } from '../work/answers.js';
import { boxThrough, type Room, squareAt, type Zoom } from './plan-frame.js';

export const identity: Matrix = [1, 0, 0, 1, 0, 0];

/** What is drawn of a sheet, wherever: on the screen or on paper. */
export interface PlanPicture {
  readonly drawing: DrawingView;
  readonly sheet: Sheet;
  readonly width: number;
  readonly height: number;
  readonly zoom: Zoom;
  readonly onPaper?: boolean;
}

/** By how many times errors and margins are drawn longer than they are. */
export interface Exaggeration {
  readonly errors: number;
  readonly margins: number;
}

export const exaggerationOf = ({ shown }: Sheet, box: Box): Exaggeration => {
  const { placed, judged, settings } = shown;
  const size = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const lengths = [
    ...(placed?.marks ?? []).flatMap(({ residual, ellipse }) => [
      Math.hypot(residual.x, residual.y),
      ellipse?.long ?? 0,
    ]),
    ...(judged?.details ?? []).flatMap(({ ellipseOnPlan }) => ellipseOnPlan?.long ?? 0),
    ...(placed?.touches ?? []).map(({ residual }) => Math.abs(residual)),
  ];
  const largest = Math.max(1e-9, ...lengths);
  const clearance = Math.max(1e-9, settings?.clearance ?? 0.5);
  const margins = (0.009 * size) / clearance;
  // Margins larger than that are drawn smaller than they are: they would hide what they are of.
  return {
    errors: roundBelow((0.06 * size) / largest),
    margins: margins >= 1 ? roundBelow(margins) : roundBelow(1000 * margins) / 1000,
  };
};

export const displayBox = (drawing: DrawingView, place: Matrix): Box => {
  const shown = drawing.shapes.filter(({ role }) => role === 'outline');
  const used = shown.length > 0 ? shown : drawing.shapes;
  const boxes = used.map(({ box }) => box);
  const marks = drawing.marks.map(({ at }) => squareAt(at, 1));
  const all = [...boxes, ...marks];
  const box = all.length === 0 ? drawing.box : all.reduce(join);
  return boxThrough(place, box);
};

const join = (a: Box, b: Box): Box => ({
  minX: Math.min(a.minX, b.minX),
  minY: Math.min(a.minY, b.minY),
  maxX: Math.max(a.maxX, b.maxX),
  maxY: Math.max(a.maxY, b.maxY),
});

export const isInDoubt = ({ shown }: Sheet): boolean => (shown.placed?.doubt?.marks.length ?? 0) > 0;

/** What lies in the axes' corner and beyond them is no room for signs, px. */
export const axisLeft = 36;
export const axisFoot = 32;

/** Room round the part for flags, and for the names of marks, the longest of which is so wide. */
export const roomOf = (width: number, height: number, named = 0): Room => {
  const side = Math.min(named + 22, 0.24 * width);
  return {
    width,
    height,
    left: axisLeft + Math.max(40, side),
    right: Math.max(width < 420 ? 32 : 40, side),
    top: 40,
    bottom: axisFoot + 42,
  };
};

/** px; short names of marks are set large. */
export const markSize = (name: string, onPaper: boolean): number =>
  onPaper ? (name.length > 3 ? 11 : 15) : name.length > 3 ? 13 : 19;

let pen: CanvasRenderingContext2D | null | undefined;

/** Width of text of the sheet's face, px. */
export const textWidth = (text: string, size: number, weight: 'bold' | 'normal' = 'bold'): number => {
  pen ??= document.createElement('canvas').getContext('2d');
  if (pen === null) return 0.75 * size * text.length;
  pen.font = `${weight} ${size}px ${getComputedStyle(document.body).fontFamily}`;
  return pen.measureText(text).width;
};

export const namesWidth = (marks: readonly { readonly name: string }[], onPaper: boolean): number =>
  Math.max(0, ...marks.map(({ name }) => textWidth(name, markSize(name, onPaper))));
