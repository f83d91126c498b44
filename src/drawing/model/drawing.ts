/** One model of a drawing, whatever file it came from. Design frame: mm, y up. */
import type { Matrix } from '../../geometry/affine.js';
import type { Path } from '../../geometry/curve.js';
import type { Box, Point } from '../../geometry/point.js';
import type { Roles } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';

/**
 * A group, layer or instance that encloses shapes. The same object encloses all shapes of the same
 * group.
 */
export interface Group {
  /** Its id and its labels; a group without a name is none. */
  readonly names: readonly string[];
  readonly parent?: Group | undefined;
}

export interface Shape {
  /**
   * The element's id, or a made-up one that is unique in the drawing (`path-7`), counted in file
   * order.
   */
  readonly id: string;
  /** True when the file gave the id. */
  readonly named: boolean;
  /** Names of the groups or layers it lies in, innermost first: id and label of each. */
  readonly layers: readonly string[];
  /** Names written on the shape itself beside its id. */
  readonly labels?: readonly string[] | undefined;
  /** The innermost group with a name that it lies in; undefined where there is none. */
  readonly group?: Group | undefined;
  /** What it was drawn as: circle, ellipse, rect, path, line, polyline, polygon ... */
  readonly element: string;
  /** Its subpaths, in file order; placed, in mm. */
  readonly paths: readonly Path[];
  readonly stroke?: string | undefined;
  /**
   * Of an SVG: colour of its area, as of the stroke; black where nothing is stated (SVG 2, section
   * 13.2). Undefined: none.
   */
  readonly fill?: string | undefined;
  /**
   * Of an SVG: its area is seen filled, with or without a stroke round it (see `filledBy`);
   * undefined where it is not.
   */
  readonly filled?: 'alone' | 'stroked' | undefined;
  readonly line?: number | undefined;
  /**
   * Of a shape with an open path, where it is known: both ends of that path lie within a millimetre
   * of ends of its kind, and this is the wider of the two gaps, mm, with the end it lies at.
   */
  readonly openGap?: { readonly gap: number; readonly at: Point };
}

/**
 * How long the units of an SVG are taken where they count in px (or in nothing, which CSS takes as
 * px), and neither the file nor the job says how many px make an inch: 96, as in CSS.
 */
export interface AssumedScale {
  /**
   * What the page says of its size: px, nothing that has a unit, or a length, while what is drawn
   * counts px.
   */
  readonly page: 'px' | 'nothing' | 'length';
  /** Of a unit of the drawing as taken, mm; undefined where it differs in the two directions. */
  readonly unit?: number;
  /** A resolution that the file itself mentions, and where. */
  readonly mentioned?: MentionedResolution;
}

export interface MentionedResolution {
  readonly dpi: number;
  /** `the comment in line 2` */
  readonly where: string;
}

/** Something the reader saw and did not take over. */
export interface LeftOut {
  readonly what: string;
  readonly where: string;
  readonly why: string;
}

export interface Drawing {
  /** As given. */
  readonly path: string;
  /** The unit the file states, or the one the job supplied. */
  readonly units: string;
  /** Of all shapes; an empty box (minX > maxX) when there are none. */
  readonly box: Box;
  /** The page or sheet, where the file has one. */
  readonly page?: Box;
  /** Units of the file (of an SVG those of its outermost element) -> the design frame. */
  readonly fromUserUnits?: Matrix;
  /**
   * sd of the edges along their normals, mm, where the drawing was made from a measured piece and
   * says so.
   */
  readonly edgeSd?: number;
  /** Present where the scale is an assumption. */
  readonly scale?: AssumedScale;
  /**
   * Layers that nobody sees, by their names in capitals, and why; absent where the file has none.
   */
  readonly unseenLayers?: ReadonlyMap<string, 'frozen' | 'off' | 'not plotted'>;
  readonly shapes: readonly Shape[];
  /**
   * Where lines were joined across layers or colours: the same drawing, joined under other roles.
   */
  readonly joinedUnder?: (roles: Roles) => Drawing;
  readonly leftOut: readonly LeftOut[];
  readonly warnings: readonly Warning[];
}

export type Role = 'mark' | 'opening' | 'outline' | 'unused';
