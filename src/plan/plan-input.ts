/** What a plan is made from. */
import type { Drawing, Shape } from '../drawing/model/drawing.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import type { Point } from '../geometry/point.js';
import type { Job } from '../job/job.js';

export interface PlanInput {
  readonly job: Job;
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
  /** The shapes whose edges the cut keeps to: the openings, or every line of a cut as drawn. */
  readonly edges: readonly Shape[];
  /** Marks that are drawn or typed already, design frame, mm: judged for comparison, and kept clear of by name. */
  readonly present: ReadonlyMap<string, Point>;
}
