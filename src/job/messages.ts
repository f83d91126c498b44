/** Where in an input something stands; every part is optional, a file is almost always known. */
export interface Where {
  readonly file?: string;
  readonly line?: number;
  readonly column?: number;
  /** A key of the job file, an element of a drawing, a mark's name. */
  readonly element?: string;
}

/**
 * The input is wrong. The command line turns it into one message and exit status 2; nothing has
 * been written. `found` and `expected` are clauses without a full stop; `next` is a sentence that
 * says what to do.
 */
export class InputError extends Error {
  readonly found: string;
  readonly expected: string;
  readonly where: Where;
  readonly next: string;
  /** Lines to write that `next` speaks of. */
  readonly lines: readonly string[];

  constructor(parts: {
    found: string;
    expected: string;
    where?: Where;
    next: string;
    lines?: readonly string[];
  }) {
    super(`${parts.found}; expected ${parts.expected}`);
    this.name = 'InputError';
    this.found = parts.found;
    this.expected = parts.expected;
    this.where = parts.where ?? {};
    this.next = parts.next;
    this.lines = parts.lines ?? [];
  }
}

/** The stable kebab-case codes a caller may act on. */
export type WarningCode =
  | 'no-redundancy'
  | 'marks-disagree'
  | 'suspect-reading'
  | 'likely-slip'
  | 'mirrored'
  | 'ambiguous-pattern'
  | 'mark-misplaced'
  | 'size-changed'
  | 'extrapolation'
  | 'sd-assumed'
  | 'roles-assumed'
  | 'roles-uncertain'
  | 'units-overridden'
  | 'dpi-assumed'
  | 'dpi-unused'
  | 'unlikely-size'
  | 'open-path-left-out'
  | 'opening-drawn-twice'
  | 'content-left-out'
  | 'end-missing'
  | 'lines-joined'
  | 'lines-drawn-twice'
  | 'duplicates-unsearched'
  | 'ambiguous-junction'
  | 'opening-in-opening'
  | 'openings-unsearched'
  | 'nothing-left'
  | 'breaks-edge'
  | 'falls-loose'
  | 'piece-splits'
  | 'outside-outline'
  | 'openings-merged'
  | 'opening-vanished'
  | 'thin-land'
  | 'rim-differs'
  | 'not-placed'
  | 'seam-crosses-opening'
  | 'outside-bed'
  | 'display-step'
  | 'few-readings'
  | 'axes-differ'
  | 'readers-differ'
  | 'reversal'
  | 'lengths-disagree'
  | 'unlikely-scale'
  | 'unlikely-sd'
  | 'axes-turned'
  | 'columns-exchanged'
  | 'rule-unstated'
  | 'dots-unstated'
  | 'drifted'
  | 'old-profile'
  | 'material-moves'
  | 'scale-unchecked'
  | 'walls-seen'
  | 'picture-changed'
  | 'edge-crossed'
  | 'gaps-disagree'
  | 'suspect-gap'
  | 'not-as-predicted'
  | 'places-unseen'
  | 'gamma-unstated';

export type SlipKind =
  | 'swapped'
  | 'digits'
  | 'axes-swapped'
  | 'sign'
  | 'decimal-point'
  | 'inches'
  | 'centimetres'
  | 'face-down'
  | 'half-turn';

/** One way to settle what a warning found. */
export interface Remedy {
  /**
   * `change-job`: a key of the job or its machine; `correct-readings`: all of them, in one way;
   * `read-again`: at some marks; `correct-marks`: their typed positions.
   */
  readonly kind: 'change-job' | 'correct-readings' | 'correct-marks' | 'read-again' | 'move-part';
  /** What to do, as a clause that "Next:" can precede, without full stop. */
  readonly step: string;
  /**
   * `change-job`: the key, such as `machine.axes`, `marks` or `touches.8.radius`, and the value
   * that settles it, as YAML.
   */
  readonly set?: { readonly key: string; readonly value: string };
  /** `read-again`: where. */
  readonly marks?: readonly string[];
}

/** Display coordinates, mm. */
export interface WarningPlace {
  readonly openings: readonly string[];
  readonly at: readonly [number, number];
  /** Width and height of a piece that comes loose. */
  readonly size?: readonly [number, number];
}

/**
 * Something the operator should know although the work went on. `message` is one or two whole
 * sentences.
 */
export interface Warning {
  readonly code: WarningCode;
  readonly message: string;
  /** Marks concerned (`suspect-reading`, `likely-slip`). */
  readonly marks?: readonly string[];
  /**
   * What a cut does to the piece (cut/findings/finding.ts): each place, with the openings
   * concerned.
   */
  readonly places?: readonly WarningPlace[];
  /** `likely-slip` only. */
  readonly kind?: SlipKind;
  /** `likely-slip` only: the readings as they were probably meant, display coordinates, mm. */
  readonly suggested?: Readonly<Record<string, readonly [number, number]>>;
  /**
   * What settles it, most likely first. A warning that has some doubts what the readings, or the
   * job, say: no verdict is `fits` beside it. Absent where the warning only informs.
   */
  readonly remedies?: readonly Remedy[];
  /**
   * `ambiguous-pattern`: the part on its other face, or a display that counts y the other way, fits
   * as well.
   */
  readonly otherFace?: true;
  /** What nobody says and no reading tells: no verdict is `fits` before one of these states it. */
  readonly unsaid?: { readonly reason: string; readonly remedies: readonly Remedy[] };
}
