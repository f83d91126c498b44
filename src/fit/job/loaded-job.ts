/** A job with everything it names, as the fit and all steps after it take it. */
import type { OtherScale } from '../../drawing/assumed-scale.js';
import type { Drawing, Shape } from '../../drawing/model/drawing.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';
import type { Point } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { TouchReadings } from '../../marks/touches.js';
import type { FitOptions, FitOutcome, Observation } from '../fit.js';
import type { DisplayStep } from '../options.js';

/** A job with everything it names read and understood. */
export interface LoadedJob {
  readonly job: Job;
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
  /** Design frame, before `face`, mm. */
  readonly marks: ReadonlyMap<string, Point>;
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  /** What is cut or cut beside: the openings; for a drawing cut as drawn all of its lines. */
  readonly edges: readonly Shape[];
  /** The same job with its drawing at another scale; present where the scale is assumed and edges were touched. */
  readonly atScale?: (scale: OtherScale) => LoadedJob;
  readonly warnings: readonly Warning[];
}

/** Where the part lies. */
export interface FittedJob {
  readonly outcome: FitOutcome;
  /** What the fit was made of: as loaded, and which of them the display rounds alike. */
  readonly observations: readonly Observation[];
  readonly options: FitOptions;
  readonly displayStep?: DisplayStep;
  /** Of the readings; of `fitJob` those of the job and its machine as well. */
  readonly warnings: readonly Warning[];
}
