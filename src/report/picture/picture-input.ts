/** What a picture is drawn from. */
import type { Path } from '../../geometry/curve.js';
import type { Point } from '../../geometry/point.js';

export type PictureRole = 'outline' | 'opening' | 'mark' | 'unused' | 'beam';

/** Rings that belong together: an opening with its islands is one shape. */
export interface PictureShape {
  readonly role: PictureRole;
  readonly paths: readonly Path[];
  /** Shown when the pointer rests on it. */
  readonly id?: string;
  /** Of an opening whose new edge may touch, or will; absent: it fits, or nobody judged it. */
  readonly verdict?: 'too-close' | 'does-not-fit';
}

export interface PictureMark {
  readonly name: string;
  /** A touch has a sign of its own: where on the edge it is taken to be. A mark when absent. */
  readonly kind?: 'touch';
  /** The fitted position; without a fit, where the mark is drawn. */
  readonly at: Point;
  /** Reading minus fitted; undefined where there is nothing to compare. */
  readonly residual?: Point;
}

export interface PictureLand {
  readonly between: readonly [string, string];
  /** mm. */
  readonly width: number;
  readonly at: Point;
}

/** Where the cut does something to the piece beyond moving its edges. */
export interface PictureFinding {
  /** What it does, and to which openings. */
  readonly label: string;
  readonly at: Point;
  /** Side of a square that holds it, mm, where it is larger than a place. */
  readonly width?: number;
}

/** A square of the picture, enlarged beside it. */
export interface PictureDetail {
  readonly at: Point;
  /** Side of the square, mm. */
  readonly width: number;
  readonly label: string;
  /**
   * Index of the thin land it shows: it then bears that number, and needs no sign of its own in the
   * picture.
   */
  readonly land?: number;
  /**
   * Lengths to be shown: the detail is then as wide as the column, and turned so that they run from
   * left to right.
   */
  readonly lengths?: PictureLengths;
}

/** What stands along the normal of an edge, mm, from the existing edge on. */
export interface PictureLengths {
  /** Of length 1, from the existing edge to the new one. */
  readonly normal: Point;
  readonly given: number;
  /** `given`, or `allowed` of a cut as drawn. */
  readonly word: 'given' | 'allowed';
  /** Undefined where no uncertainty can be claimed. */
  readonly needed?: number;
}

/** Whether it fits, as people say it. */
export interface PictureVerdict {
  /** `It fits`. */
  readonly head: string;
  /** Sentences. */
  readonly text: string;
  readonly given: number;
  readonly word: 'given' | 'allowed';
  readonly needed?: number;
}

/** A place to drive the pointer to before the cut. */
export interface PictureWitness {
  /** `w1`. */
  readonly name: string;
  readonly at: Point;
  /** What the pointer has to stand over: `moon` for a corner of it, `spore-1, centre`. */
  readonly what: string;
  /** mm; in 95 of 100 sound jobs it stands no farther off. */
  readonly allowed?: number;
}

/** The bed: display coordinates begin at its origin. */
export interface PictureBed {
  /** mm; undefined: nobody says. */
  readonly size?: readonly [width: number, height: number];
}

/**
 * Strips of film, each by its four corners in order, and the bands where two of them lie on each
 * other.
 */
export interface PictureFilm {
  readonly strips: readonly (readonly Point[])[];
  readonly seams: readonly (readonly Point[])[];
  /** What is said about them beside the picture. */
  readonly label: string;
}

/**
 * Everything in one frame, mm, x to the right: design coordinates, or the bed's as the pointer's
 * display has them, so that the ticks can be read against it.
 */
export interface PictureInput {
  readonly title: string;
  readonly verdict?: PictureVerdict;
  /** A line or two each: shift and turn, largest residual, risk. */
  readonly caption: readonly string[];
  readonly shapes: readonly PictureShape[];
  readonly marks?: readonly PictureMark[];
  /** Numbered in the picture and listed beside it. */
  readonly thinLands?: readonly PictureLand[];
  /** Marked by a triangle with a number and listed beside, before all else. */
  readonly findings?: readonly PictureFinding[];
  /** Numbered in the picture and enlarged beside it, the one that decides first. */
  readonly details?: readonly PictureDetail[];
  readonly witness?: readonly PictureWitness[];
  readonly bed?: PictureBed;
  readonly film?: PictureFilm;
  /** Which way y counts; up when absent. */
  readonly axes?: 'y-up' | 'y-down';
  /**
   * Full width of the material the beam takes, mm: its paths are drawn that wide, or as a thin
   * line.
   */
  readonly kerf?: number;
  /**
   * By how much openings were pierced larger than they are drawn, on each side, mm: their edge is
   * shown there.
   */
  readonly pierced?: number;
  /** What the ticks count: "bed, mm". */
  readonly ticks: string;
}
