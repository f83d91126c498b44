/**
 * What a cut file holds, whatever its format, and the shape its writers give to arcs and numbers.
 */
import type { Arc, Line, Segment } from '../../geometry/curve.js';
import { endOf, segmentBox } from '../../geometry/curve.js';
import { type Box, emptyBox, joinBoxes, type Point } from '../../geometry/point.js';
import type { NcWords } from '../../job/job.js';
import { InputError } from '../../job/messages.js';

/**
 * Segments end to end, display coordinates, mm: a closed ring unless it says `open`. A cut is made
 * of lines and arcs.
 */
export interface CutFilePath<S extends Segment = Line | Arc> {
  readonly segments: readonly S[];
  /** Theirs, where it is known. */
  readonly box?: Box;
  readonly open?: boolean;
  readonly layer: string;
  /**
   * Of a drawing written anew rather than a cut: it keeps its colour, and in DXF a whole circle is
   * a CIRCLE.
   */
  readonly drawn?: { readonly stroke: string | undefined };
  /** Need not be unique; the writer numbers what is not. */
  readonly id: string;
}

/** Everything in display coordinates, mm; the paths in the order in which they are to be cut. */
export interface CutFile<S extends Segment = Line | Arc> {
  readonly paths: readonly CutFilePath<S>[];
  /** Width and height of the bed. */
  readonly size?: readonly [number, number];
  /** Which way the machine's display counts y. */
  readonly axes: 'y-up' | 'y-down';
  /** The job, for whoever opens the file. */
  readonly title?: string;
  /** What whoever opens the file must read, a sentence or two each: written as comments. */
  readonly remarks?: readonly string[];
  /** Of the machine's profile; no NC file without them. */
  readonly nc?: NcWords;
}

/** What all paths take together, mm; an empty box when there are none. */
/**
 * The corner at which the page of an SVG begins, in the file's coordinates: the origin, or what is
 * least where that is negative, to a micrometre.
 */
export const pageBegin = ({ minX, minY }: Pick<Box, 'minX' | 'minY'>): Point => {
  const begin = (least: number): number => Math.min(0, Math.floor(least * 1000) / 1000);
  return { x: begin(minX), y: begin(minY) };
};

export const extentOf = (file: CutFile<Segment>): Box => {
  let box = emptyBox;
  for (const path of file.paths) {
    if (path.box !== undefined) box = joinBoxes(box, path.box);
    else
      for (const s of path.segments) if (!isEdge(s) || !isWithin(s, box)) box = joinBoxes(box, segmentBox(s));
  }
  return box;
};

export const isEdge = (s: Segment): s is Line | Arc => s.kind === 'line' || s.kind === 'arc';

/** True for most segments of a file, which saves working out their boxes. */
const isWithin = (s: Line | Arc, { minX, minY, maxX, maxY }: Box): boolean => {
  const a = s.kind === 'line' ? s.from : s.centre;
  const b = s.kind === 'line' ? s.to : s.centre;
  const r = s.kind === 'line' ? 0 : s.radius;
  return (
    Math.min(a.x, b.x) - r >= minX &&
    Math.max(a.x, b.x) + r <= maxX &&
    Math.min(a.y, b.y) - r >= minY &&
    Math.max(a.y, b.y) + r <= maxY
  );
};

export const cutFormats = ['svg', 'dxf', 'nc'] as const;
export type CutFormat = (typeof cutFormats)[number];

/**
 * The format a file name asks for, by its extension.
 *
 * @throws InputError for an extension that cannot be written
 */
export const formatOf = (path: string): CutFormat => {
  const name = path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1);
  const dot = name.lastIndexOf('.');
  const extension = dot <= 0 ? '' : name.slice(dot).toLowerCase();
  const format = cutFormats.find((one) => extension === `.${one}`);
  if (format !== undefined) return format;
  throw new InputError({
    found: extension === '' ? 'a cut file name without an extension' : `a cut file ending in ${extension}`,
    expected: 'a name ending in .svg, .dxf or .nc',
    where: { file: path },
    next: 'Give the cut file a name that ends in .svg, .dxf or .nc: the format follows from it.',
  });
};

/**
 * One edge of a path: where it starts, and the arc it follows from there to the next vertex (none:
 * straight).
 */
export interface Vertex {
  readonly at: Point;
  readonly radius?: number;
  /** Signed, radians, at most `widestArc` either way. */
  readonly sweep?: number;
}

/** radians */
const widestArc = 2.2;
const quarterTurn = Math.PI / 2;

/**
 * The vertices of a path, with every arc of more than 126 degrees split into equal parts of at most
 * 90: an arc given by its end points is ill-conditioned near half a turn, and a whole circle cannot
 * be given so at all. An open path has its end as the last of them.
 */
export const verticesOf = (
  path: readonly (Line | Arc)[],
  open = false,
  largestTurn = widestArc,
): Vertex[] => {
  const vertices: Vertex[] = [];
  for (const segment of path) {
    if (segment.kind === 'line') {
      vertices.push({ at: segment.from });
      continue;
    }
    const turn = Math.abs(segment.sweep);
    const parts = turn <= largestTurn ? 1 : Math.ceil(turn / quarterTurn - 1e-9);
    const sweep = segment.sweep / parts;
    for (let part = 0; part < parts; part++) {
      const { centre, radius, start } = segment;
      const angle = start + part * sweep;
      const at = { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
      vertices.push({ at, radius, sweep });
    }
  }
  const last = path.at(-1);
  if (open && last !== undefined) vertices.push({ at: endOf(last) });
  return vertices;
};

/** A decimal number without exponent, trailing zeros or minus zero. */
export const decimal = (value: number, decimals: number): string => {
  const text = value.toFixed(decimals);
  if (decimals === 0) return text === '-0' ? '0' : text;
  let end = text.length;
  while (text.charCodeAt(end - 1) === 48) end--;
  if (text.charCodeAt(end - 1) === 46) end--;
  const trimmed = text.slice(0, end);
  return trimmed === '-0' ? '0' : trimmed;
};

/** A text in lines of at most `room` characters, without line ends of its own. */
export const commentLines = (text: string, room: number): string[] => {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/).map((one) => one.slice(0, room))) {
    if (line !== '' && line.length + 1 + word.length > room) {
      lines.push(line);
      line = '';
    }
    line += line === '' ? word : ` ${word}`;
  }
  lines.push(line);
  return lines;
};

/** Hands out names, each once: the second `leaf` becomes `leaf-2`. */
export const uniqueNames = (): ((name: string) => string) => {
  const taken = new Set<string>();
  const count = new Map<string, number>();
  return (name) => {
    let unique = name;
    let n = count.get(name) ?? 1;
    while (taken.has(unique)) unique = `${name}-${++n}`;
    if (n > 1) count.set(name, n);
    taken.add(unique);
    return unique;
  };
};
