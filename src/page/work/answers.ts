/** What the sheet asks of its worker, and what it is told; all of it can be cloned. Lengths in mm. */
import type {
  Box,
  CheckJson,
  CutFormat,
  MachinePart,
  Matrix,
  PlanJson,
  Point,
  Role,
  Verdict,
  Warning,
} from '../../internal.js';
import type { Ellipse } from '../drawn/matrix.js';

export type Files = ReadonlyMap<string, Uint8Array>;

export interface JobQuestion {
  readonly kind: 'job';
  readonly path: string;
  readonly text: string;
}

export type FurtherQuestion =
  | { readonly kind: 'plan'; readonly path: string; readonly text: string }
  /** The drawing with the planned marks in it, under this name. */
  | { readonly kind: 'marked'; readonly path: string; readonly text: string; readonly name: string }
  | {
      readonly kind: 'forms';
      readonly profile: { readonly path: string; readonly text: string } | undefined;
      readonly size: readonly [number, number] | undefined;
    }
  | {
      readonly kind: 'calibrate';
      readonly part: MachinePart;
      readonly table: string;
      readonly profile: { readonly path: string; readonly text: string | undefined };
      readonly date: string;
      readonly sd: number | undefined;
      readonly rule: string | undefined;
      readonly force: boolean;
    }
  /** Whether sizes still agree with the profile, from the readings of jobs. */
  | {
      readonly kind: 'drift';
      readonly jobs: readonly { readonly path: string; readonly text: string }[];
      readonly date: string;
    };

export type Question =
  | JobQuestion
  /** Verdict at another clearance, a little rougher, while a hand moves it. */
  | { readonly kind: 'slide'; readonly clearance: number }
  | { readonly kind: 'save'; readonly format: CutFormat }
  | FurtherQuestion;

/** All files go along where they have changed since the last question. */
export type Asked = Question & { readonly number: number; readonly files?: Files };

/** What is wrong with an input: found, expected, what to do; the key or mark it is about. */
export interface Fault {
  readonly found: string;
  readonly expected: string;
  readonly next: string;
  readonly element: string;
  readonly file: string | undefined;
}

export interface ShapeView {
  readonly id: string;
  readonly role: Role;
  /** Path data in the design frame, y up; of a drawing with very many vertices a simpler line. */
  readonly d: string;
  readonly box: Box;
  readonly closed: boolean;
  /** One whole circle: its radius can be left unknown where it is touched. */
  readonly round: boolean;
  readonly element: string;
  readonly layer: string | undefined;
  readonly stroke: string | undefined;
  readonly fill: string | undefined;
}

export interface DrawingView {
  /** Changes with anything that changes the view. */
  readonly key: string;
  readonly name: string;
  readonly shapes: readonly ShapeView[];
  /** Design frame. */
  readonly marks: readonly { readonly name: string; readonly at: Point }[];
  readonly box: Box;
  /** `47 openings` and the like. */
  readonly facts: string;
  readonly warnings: readonly Warning[];
  /** What states roles that were assumed. */
  readonly rolesLine: string | undefined;
  /** Where it is not certain what is what. */
  readonly ways: readonly { readonly says: string; readonly rolesLine: string | undefined }[];
  /** The unit is assumed, or has to be stated. */
  readonly asksUnit: boolean;
}

/** What holds where the job says nothing: shown in empty fields, and what decides how things are drawn. */
export interface Settings {
  readonly axes: 'y-up' | 'y-down';
  readonly axesSaid: boolean;
  readonly face: 'up' | 'down';
  readonly kind: 'opening' | 'inlay' | 'as-drawn';
  readonly clearance: number;
  readonly kerf: number;
  readonly pierced: number;
  readonly corners: 'mitre' | 'round';
  readonly mitreLimit: number;
  readonly readingSd: number | undefined;
  readonly markSd: number;
  readonly cutSd: number;
  readonly kerfSd: number;
  readonly acceptedRisk: number;
  readonly machineName: string | undefined;
  readonly bedSize: readonly [number, number] | undefined;
  readonly hasNc: boolean;
}

export interface MarkView {
  readonly name: string;
  /** Where the fit puts it on the display, and reading minus that. */
  readonly at: Point;
  readonly residual: Point;
  /** mm; undefined where nothing checks it. */
  readonly distance: number | undefined;
  readonly ellipse: Ellipse | undefined;
}

export interface TouchView {
  readonly on: string;
  readonly at: Point;
  readonly foot: Point;
  readonly residual: number;
  readonly checked: boolean;
}

/** A reading in doubt with what was probably meant. */
export interface Slip {
  readonly mark: string;
  /** Which of several readings over it. */
  readonly count: number;
  readonly axis: 'x' | 'y';
  readonly typed: string;
  readonly meant: string;
}

export interface DoubtView {
  readonly word: string;
  readonly marks: readonly string[];
  readonly warnings: readonly Warning[];
  /** First the likeliest. `set`: what to write into the job. */
  readonly remedies: readonly {
    readonly kind: string;
    readonly step: string;
    readonly set?: { readonly key: string; readonly value: string };
    readonly marks: readonly string[];
  }[];
  /** Every figure that would change, where the readings were probably typed or taken otherwise. */
  readonly slips: readonly Slip[];
  /** Distances as typed and as probably meant. */
  readonly compared: readonly { readonly mark: string; readonly typed: number; readonly meant: number }[];
}

export interface Placed {
  /** Design frame to display. */
  readonly place: Matrix;
  /** Design frame to what the machine is told, so that its beam burns there. */
  readonly machine: Matrix;
  /** Counter-clockwise as seen on the bed, degrees. */
  readonly degrees: number;
  readonly turn: string;
  readonly marks: readonly MarkView[];
  readonly touches: readonly TouchView[];
  readonly doubt: DoubtView | undefined;
  readonly warnings: readonly Warning[];
  /** The matrix as it is typed into a machine: turn in degrees, counter-clockwise as seen on the bed; design and display points of each mark. */
  readonly model: string;
}

export interface OpeningView {
  readonly id: string;
  readonly verdict: Verdict;
  readonly needed: number | undefined;
}

/** A place at true proportion. */
export interface Detail {
  readonly id: string;
  /** What is shown: the place that needs most, or what the cut does there. */
  readonly says: string;
  readonly at: Point;
  readonly needed: number | undefined;
  readonly ellipse: Ellipse | undefined;
  /** px to the mm that shows all of it. */
  readonly pxPerMm: number;
  /** Drawn edges near it; x points from the existing edge to the new one, y down the page, origin at the place. */
  readonly edges: readonly { readonly d: string; readonly own: boolean }[];
  /** The panel’s edge near it, in the same frame. */
  readonly outline: string;
  /** On the display. */
  readonly ellipseOnPlan: Ellipse | undefined;
  /** Display to that frame. */
  readonly frame: Matrix;
  /** Where the cutter does not apply the whole fit: how far the cut is displaced there, along x and y. */
  readonly displaced: Point | undefined;
  /** It is there for what the cut does to the piece. */
  readonly finding: boolean;
}

export interface Judged {
  readonly json: CheckJson;
  /** `It fits`, or that a reading is in doubt. */
  readonly word: string;
  readonly explanation: string;
  /** What the figures say, whatever is in doubt. */
  readonly asTyped: string;
  /** What the verdict rests on most, a sentence. */
  readonly rests: string | undefined;
  /** The explanation itself names an assumption. */
  readonly saysAssumption: boolean;
  readonly openings: readonly OpeningView[];
  readonly details: readonly Detail[];
  readonly witness: readonly {
    readonly opening: string;
    readonly what: string;
    readonly design: readonly [number, number];
    readonly at: Point;
    readonly allowed: number | undefined;
    readonly shows: string | undefined;
  }[];
  /** What comes next, one step. */
  readonly next: string;
  /** Further things that would help, with what each needs. */
  readonly advice: readonly {
    readonly message: string;
    readonly set: { key: string; value: string } | null;
  }[];
  readonly proven: boolean;
  readonly warnings: readonly Warning[];
}

export interface CutView {
  readonly paths: number;
  readonly metres: number;
  /** For each detail the paths of the beam near it, in its frame. */
  readonly beams: readonly (readonly string[])[];
  readonly findings: readonly { readonly at: Point; readonly label: string }[];
  readonly warnings: readonly Warning[];
  readonly unproven: string | undefined;
  readonly contradiction: string | undefined;
  readonly ncReady: boolean;
  readonly film: FilmView | undefined;
}

export interface FilmView {
  readonly direction: 'x' | 'y';
  readonly width: number;
  readonly overlap: number;
  readonly length: number;
  readonly strips: readonly {
    readonly from: number;
    readonly to: number;
    readonly length: number;
    readonly corners: readonly Point[];
  }[];
  readonly seams: readonly {
    readonly from: number;
    readonly to: number;
    readonly crosses: readonly string[];
    readonly corners: readonly Point[];
  }[];
}

export type Answer =
  | { readonly stage: 'drawing'; readonly drawing: DrawingView }
  | { readonly stage: 'settings'; readonly settings: Settings }
  | { readonly stage: 'fault'; readonly fault: Fault }
  | {
      readonly stage: 'failed';
      readonly reason: string;
      readonly cure: string;
      readonly warnings: readonly Warning[];
    }
  | { readonly stage: 'placed'; readonly placed: Placed }
  /** Placed, but a cut as drawn has not said how far it may lie off. */
  | { readonly stage: 'unjudged'; readonly missing: string }
  | { readonly stage: 'judged'; readonly judged: Judged }
  | { readonly stage: 'cut'; readonly cut: CutView }
  /** The cut is refused: there is a verdict, and nothing to save. */
  | { readonly stage: 'refused'; readonly fault: Fault }
  /** Where the thinnest land is gone. */
  | { readonly stage: 'gone'; readonly gone: number | undefined }
  | {
      readonly stage: 'slid';
      readonly verdict: Verdict;
      readonly word: string;
      readonly explanation: string;
      readonly openings: readonly OpeningView[];
    }
  | { readonly stage: 'saved'; readonly name: string; readonly text: string }
  | { readonly stage: 'planned'; readonly plan: PlanJson; readonly picture: string }
  | { readonly stage: 'file'; readonly name: string; readonly content: string | Uint8Array }
  | {
      readonly stage: 'forms';
      readonly size: readonly [number, number];
      readonly sheet: string;
      readonly form: string;
      readonly tables: Readonly<Record<MachinePart, string>>;
    }
  /** `updated`: the text of the profile with the figures in it. */
  | {
      readonly stage: 'calibrated';
      readonly text: string;
      readonly withheld: boolean;
      readonly updated: string | undefined;
    }
  | { readonly stage: 'drifted'; readonly text: string }
  | { readonly stage: 'mistake'; readonly message: string }
  | { readonly stage: 'done' };

export type Answered = Answer & { readonly number: number };
