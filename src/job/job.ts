/**
 * A job as read from its file and machine profile: checked, defaults filled in, millimetres
 * throughout.
 */
import type { Point } from '../geometry/point.js';
import type { Arrival, CutReversal, Sides } from './error-kinds.js';
import type { Where } from './messages.js';

export const models = ['shift', 'rigid', 'similarity', 'affine'] as const;
export type Model = (typeof models)[number];
export type Corners = 'round' | 'mitre';
/** `as-drawn`: the drawing's own lines once more, neither set back nor corrected for kerf. */
export type CutKind = 'opening' | 'inlay' | 'as-drawn';
/**
 * px to the inch: 96 in CSS, 90 and 72 in files of older programs, and any other resolution a
 * drawing was made at.
 */
export type PixelsToInch = number;
export type LengthUnit = 'mm' | 'cm' | 'm' | 'in' | 'ft' | 'pt' | 'pc' | 'px' | 'q' | 'mil' | 'um';

/**
 * What is measured about a machine, each by itself: how the pointer reads, the bed's map, the kerf,
 * the beam's place.
 */
export const machineParts = ['pointer', 'bed', 'kerf', 'beam'] as const;
export type MachinePart = (typeof machineParts)[number];

/**
 * The machine: what the profile says, after the keys the job writes under `machine` itself. An
 * absent number is undefined, never 0. What the job states elsewhere (`fit.reading-sd`, `cut.kerf`
 * ...) is in Job.fit, cut and check.
 */
export interface Machine {
  readonly name?: string;
  /** ISO date; the oldest one where the parts were measured at different times. */
  readonly measured?: string;
  /** Of each part, where the profile says so. */
  readonly measuredParts?: { readonly [part in MachinePart]?: string };
  /** Width and height of the bed, mm. */
  readonly size?: readonly [number, number];
  readonly axes: 'y-up' | 'y-down';
  /** True where nobody says: `axes` is what holds then. */
  readonly axesAssumed?: true;
  /** mm per axis, one reading. */
  readonly readingSd?: number;
  /** Degrees of freedom behind readingSd; undefined: taken as known. */
  readonly readingSdDof?: number;
  /**
   * Reading on arrival with rising figures minus that with falling ones, mm, x and y of the
   * display.
   */
  readonly reversal?: readonly [number, number];
  readonly bedMap: { readonly scale: readonly [number, number] /** radians */; readonly skew: number };
  /** What the bed map may be out by: of its scales, and of its skew in radians. */
  readonly bedMapSd?: { readonly scale: readonly [number, number]; readonly skew: number };
  /** Beam minus pointer, mm, display axes. */
  readonly beamOffset: Point;
  /** Of the offset itself, mm per axis. */
  readonly beamOffsetSd?: number;
  /** From which side the pointer came to the dots when the offset was read; 0: from both alike. */
  readonly beamOffsetApproach?: Sides;
  /** Last motion before the dots were burnt; 0: burnt as small closed figures. */
  readonly beamOffsetDots?: Sides;
  /**
   * Lost motion of the axes when they cut, mm; [0, 0]: compensated. Undefined: that of the pointer.
   */
  readonly cutReversal?: CutReversal;
  /**
   * How far the display runs ahead of the pointer where marks are reached from a known side, mm:
   * half the reversal.
   */
  readonly pointerLead?: Point;
  /** What the display counts in, mm; 0: finer than matters. Undefined: found in the readings. */
  readonly displayStep?: number;
  /** Habit of the eye, common to all readings of a job, mm per axis. */
  readonly pointingSd?: number;
  /** The same within a bound: at most so far to any side, mm. */
  readonly pointingBias?: number;
  readonly kerf?: number;
  readonly kerfSd?: number;
  /**
   * Degrees of freedom behind kerf and kerfSd, and behind cutSd; for learning from finished pieces
   * alone.
   */
  readonly kerfDof?: number;
  readonly cutSd?: number;
  readonly cutSdDof?: number;
  readonly nc?: NcWords;
}

/**
 * What an NC file for this machine takes that no one else can know; each line as the control reads
 * it.
 */
export interface NcWords {
  /** mm per minute. */
  readonly feed?: number;
  /** Switch the tool on and off. */
  readonly beforeCut?: readonly string[];
  readonly afterCut?: readonly string[];
  /** Of the file. */
  readonly firstLines: readonly string[];
  readonly lastLines: readonly string[];
  /** Behind the decimal point of a coordinate. */
  readonly decimals: number;
  /** False: arcs are written as short straight moves. */
  readonly arcs: boolean;
}

/** One entry of a role: `NAME`, `stroke:COLOUR`, `fill:COLOUR`, or `not` and one of these. */
export interface RoleEntry {
  /** As written. */
  readonly text: string;
  readonly where?: Where;
}

export interface Roles {
  readonly marks: readonly RoleEntry[];
  readonly openings: readonly RoleEntry[];
  readonly outline: readonly RoleEntry[];
  /** True for each role the job spelled out; the others are the defaults. */
  readonly stated: { readonly marks: boolean; readonly openings: boolean; readonly outline: boolean };
}

/** What holds for a drawing whose job names no roles. */
export const defaultRoles: Roles = {
  marks: [{ text: 'marks' }],
  openings: [{ text: 'openings' }],
  outline: [{ text: 'outline' }],
  stated: { marks: false, openings: false, outline: false },
};

/** Entries as the job would write them. */
export const roleWords = (entries: readonly RoleEntry[]): string =>
  entries.length === 1 ? entries[0]!.text : `[${entries.map(({ text }) => text).join(', ')}]`;

/** A mark typed as design coordinates, or by the id of a drawn shape. */
export type MarkSource = { readonly at: Point } | { readonly shape: string };

export interface JobReading {
  readonly mark: string;
  /** Display coordinates as typed, mm; one or more. */
  readonly at: readonly Point[];
  /** Of each reading, where one says from which side the pointer came. */
  readonly directions?: readonly (Sides | undefined)[];
  /** Line of its first reading, in the job file or in the file of readings. */
  readonly line?: number;
}

/** What the pointer showed somewhere on a drawn edge, of which only the curve is known. */
export interface JobTouch {
  /** Id or label of a shape, the name of a layer with one shape, or the outline. */
  readonly on: string;
  /** Display coordinates as typed, mm; one or more at the same place of the edge. */
  readonly at: readonly Point[];
  /** As of a mark. */
  readonly directions?: readonly (Sides | undefined)[];
  /**
   * Of a round rim, mm, where the drawing does not tell it; `unknown`: one more unknown of the fit.
   */
  readonly radius?: number | 'unknown';
  /** About where on the drawing it was, design frame, mm. */
  readonly start?: Point;
}

/** What the pointer showed at a witness point: one more observation for the fit. */
export interface WitnessReading {
  /** Design position, or the name of a mark or of a drawn shape (its centre). */
  readonly point: { readonly at: Point } | { readonly name: string };
  /** Display coordinates as typed, mm; one or more. */
  readonly at: readonly Point[];
  /** As of a mark. */
  readonly directions?: readonly (Sides | undefined)[];
}

/** What was measured on the finished piece, from the existing edge to the new one. */
export interface MeasuredGap {
  /** Id or label of the opening. */
  readonly opening: string;
  /** Where along its edge, design frame, mm. */
  readonly place: Point;
  /** mm, square to the edge; below 0 where the new edge lies across the existing one. */
  readonly gap: number;
  /** `gaps[3].mm`, for messages. */
  readonly key: string;
}

/** Film that comes from a roll and is laid in strips. */
export interface Film {
  /** Of the roll, mm. */
  readonly width: number;
  /** How far a strip lies over its neighbour, mm; at most a quarter of the width. */
  readonly overlap: number;
  /** Axis of the drawing along which strips run; undefined: whichever serves better. */
  readonly direction?: 'x' | 'y';
}

/**
 * What a panel may be made of, where figures for its movement are known (calibration/material.ts).
 */
export const materials = ['mdf', 'plywood', 'acrylic', 'aluminium'] as const;
export type Material = (typeof materials)[number];

/** The panel and the air about it; undefined: nobody measured. */
export interface JobMaterial {
  readonly kind: Material;
  /** Relative humidity when the panel was pierced and now, %. */
  readonly humidity?: readonly [then: number, now: number];
  /** Degrees Celsius. */
  readonly temperature?: readonly [then: number, now: number];
}

/** What marks may be made of: new ones on free land, or what is there anyway. */
export const planUses = ['land', 'corners', 'holes', 'edges'] as const;
export type PlanUse = (typeof planUses)[number];

/**
 * For `reseat plan`; an absent value is left to the plan's own defaults, which it tells. Lengths in
 * mm.
 */
export interface PlanSettings {
  readonly marks?: number;
  readonly use?: readonly PlanUse[];
  /** Layer or shape that holds the places to choose from. */
  readonly allowed?: string;
  readonly fromOpenings?: number;
  readonly fromEdge?: number;
  /** Smallest distance between two marks. */
  readonly spacing?: number;
  /** Coordinates of marks are whole multiples of it. */
  readonly grid?: number;
}

export interface Job {
  /** The path as given on the command line. */
  readonly path: string;
  readonly title?: string;
  /** ISO date on which the readings were taken. */
  readonly date?: string;
  /** Path of the drawing, relative to the job file as written. */
  readonly drawing: string;
  readonly units?: LengthUnit;
  /** Of a drawing in px. */
  readonly dpi?: PixelsToInch;
  /** Ends of lines at most so far apart are joined, mm; undefined: the usual distance. */
  readonly join?: number;
  readonly face: 'up' | 'down';
  /** The job does not say which face is up: `face` is what holds then. */
  readonly faceAssumed?: true;
  readonly roles: Roles;
  /** Undefined: the centre of each shape in the marks layer, named by its id. */
  readonly marks?: ReadonlyMap<string, MarkSource>;
  /** Empty only where there are touches. */
  readonly readings: readonly JobReading[];
  /** In the order of the file. */
  readonly touches?: readonly JobTouch[];
  /** Pointer observations at witness points before the cut, in the order of the file. */
  readonly witness?: readonly WitnessReading[];
  readonly machine: Machine;
  /**
   * The profile that `machine:` names, as written; undefined where the job holds the machine's keys
   * itself, or none.
   */
  readonly profile?: string;
  readonly fit: {
    readonly model: Model;
    readonly modelStated: boolean;
    /** Stated sd of one reading per axis (the job's, else the machine's). */
    readonly readingSd?: number;
    readonly readingSdDof?: number;
    /** How truly the marks were made, mm per axis; 0 where nobody says. */
    readonly markSd: number;
    readonly markSdStated?: true;
    /** From which side the pointer came to the marks, x and y; undefined: nobody says. */
    readonly approach?: readonly [Arrival, Arrival];
    /** Stated step of the display, mm (the job's, else the machine's). */
    readonly displayStep?: number;
    /**
     * Habit of the eye, common to all readings, mm per axis (the job's, else the machine's; so is
     * the bound).
     */
    readonly pointingSd?: number;
    /** The same within a bound: at most so far to any side, mm. */
    readonly pointingBias?: number;
  };
  readonly pierced: { readonly kerf: number; readonly compensated: boolean };
  readonly cut: {
    readonly kind: CutKind;
    /** 0 for `as-drawn`: the new line lies on the old one. */
    readonly clearance: number;
    /** 0 for `as-drawn`, where it plays no part. */
    readonly kerf: number;
    readonly corners: Corners;
    readonly mitreLimit: number;
    readonly tolerance: number;
    readonly smallestLand: number;
    readonly apply: 'full' | 'rigid' | 'shift';
  };
  /** For a warning only; nothing is corrected by it. */
  readonly material?: JobMaterial;
  /** Film narrower than the panel. */
  readonly film?: Film;
  readonly check: {
    readonly acceptedRisk: number;
    /**
     * What all of this cut shares, mm per axis: the machine's cut-sd, that of the beam's offset and
     * that of the eye's habit; 0 when absent.
     */
    readonly cutSd: number;
    readonly kerfSd: number;
    /** Which of the two are stated. */
    readonly stated?: { readonly cutSd: boolean; readonly kerfSd: boolean };
    /**
     * How well the drawn edges are those of the piece, sd along their normals, mm (the job's, else
     * the drawing's).
     */
    readonly edgeSd?: number;
    /** How far the middle of the panel's length may be bowed off the chord of its ends, mm. */
    readonly bow?: number;
    /** How much the panel may have grown or shrunk, as a share of its length. */
    readonly sizeChange?: number;
    /** How far a line cut again as drawn may lie from where it is, mm; for `as-drawn` alone. */
    readonly allowedDeviation?: number;
  };
  readonly plan?: PlanSettings;
  /** Of the finished piece, for `reseat inspect`; rows left blank are not among them. */
  readonly gaps?: readonly MeasuredGap[];
  /** sd of one measured gap, mm; undefined: estimated from how well they agree. */
  readonly gapSd?: number;
  /**
   * Where each value stands, by its key: `drawing`, `marks.A`, `readings.A`, `touches[1].on`,
   * `witness[1].point`, `cut.kerf`.
   */
  readonly positions?: ReadonlyMap<string, Where>;
}

/** Where a value of the job stands, for a message: its file at least. */
export const whereInJob = (job: Pick<Job, 'path' | 'positions'>, key: string): Where =>
  job.positions?.get(key) ?? { file: job.path, element: key };

/** Pieces cut from a board of their own: nothing says where a part lies, and nothing has to. */
export const isUnplaced = ({ cut, readings, touches, witness }: Job): boolean =>
  cut.kind === 'inlay' && readings.length === 0 && touches === undefined && witness === undefined;
