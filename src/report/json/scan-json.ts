/**
 * A scan as `--json` prints it: the contract of README.md; the drawing's own frame, mm, full
 * precision.
 */
import type { Warning } from '../../job/messages.js';
import type { DecodedPicture } from '../../scan/picture/decode.js';
import type { EdgeRole, Scan, Tone } from '../../scan/scan.js';
import { segmentsOf } from '../../scan/scan-drawing.js';

export interface ScanJson {
  picture: string;
  output: string | null;
  /** Pixels, as the picture is seen. */
  pixels: [width: number, height: number];
  /** Pixels to the inch. */
  density: { x: number; y: number; source: string };
  size: [width: number, height: number];
  openings: Tone;
  openingsAssumed: boolean;
  edges: {
    id: string;
    role: EdgeRole;
    /** Lines and arcs; a circle is one arc. */
    lines: number;
    arcs: number;
    /** Of a circle, else null. */
    diameter: number | null;
    /** Standard deviation along the normal, mm. */
    sd: number;
  }[];
  /** The largest of them. */
  edgeSd: number;
  /** sd of the blur across an edge, mm; of a single point of an edge, mm. */
  blur: number;
  pointSd: number;
  /**
   * From known lengths: true lengths are (1 + x) of what the file says; null where none were given.
   */
  known: {
    x: number;
    y: number;
    lean: number;
    sd: { x: number; y: number; lean: number };
    redundancy: number;
    pValue: number | null;
    lengths: {
      from: [number, number];
      to: [number, number];
      measured: number;
      inPicture: number;
      residual: number;
    }[];
  } | null;
  dropped: { specks: number; cutOff: number };
  warnings: Warning[];
}

export interface ScanReport {
  readonly path: string;
  readonly decoded: Pick<DecodedPicture, 'density' | 'notes'> & {
    readonly picture: { readonly width: number; readonly height: number };
  };
  readonly scan: Scan;
  readonly output?: string;
}

/** Of the picture and of the scan, in the order in which they arose. */
export const scanWarnings = ({ decoded, scan }: ScanReport): Warning[] => [
  ...decoded.notes.map((message): Warning => ({ code: 'picture-changed', message })),
  ...scan.warnings,
];

const knownJson = ({ known }: Scan): ScanJson['known'] =>
  known === undefined
    ? null
    : {
        x: known.x,
        y: known.y,
        lean: known.lean,
        sd: { ...known.sd },
        redundancy: known.redundancy,
        pValue: known.pValue ?? null,
        lengths: known.lengths.map(({ from, to, measured, inPicture, residual }) => ({
          from: [from.x, from.y],
          to: [to.x, to.y],
          measured,
          inPicture,
          residual,
        })),
      };

export const scanJson = (report: ScanReport): ScanJson => {
  const { path, decoded, scan, output } = report;
  return {
    picture: path,
    output: output ?? null,
    pixels: [decoded.picture.width, decoded.picture.height],
    density: { ...decoded.density },
    size: [...scan.size],
    openings: scan.openings,
    openingsAssumed: scan.openingsAssumed,
    edges: scan.edges.map((edge) => {
      const segments = segmentsOf(scan, edge);
      const lines = segments.filter(({ kind }) => kind === 'line').length;
      return {
        id: edge.id,
        role: edge.role,
        lines,
        arcs: segments.length - lines,
        diameter: edge.outline.kind === 'circle' ? 2 * edge.outline.radius * scan.unit : null,
        sd: edge.sd,
      };
    }),
    edgeSd: scan.edgeSd,
    blur: scan.noise.blur * scan.unit,
    pointSd: scan.noise.pointSd * scan.unit,
    known: knownJson(scan),
    dropped: { ...scan.dropped },
    warnings: scanWarnings(report),
  };
};
