/** What is cut or cut beside: the openings, or all lines of a cut as drawn. */
import type { Drawing, Shape } from '../../drawing/model/drawing.js';
import { refuseTooWide } from '../../drawing/model/too-wide.js';
import { openOutline } from '../../drawing/open-outline.js';
import { refuseDoubtfulRoles } from '../../drawing/roles/assumed-warning.js';
import { nestedOpenings } from '../../drawing/roles/nested-openings.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';
import { type Job, whereInJob } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { linesToCut } from '../as-drawn.js';

export interface EdgesToCut {
  readonly edges: readonly Shape[];
  readonly warnings: readonly Warning[];
}

/** @throws InputError for edges that no bed could hold */
export const edgesToCut = (job: Job, drawing: Drawing, roles: RoleAssignment): EdgesToCut => {
  const { shapes: edges, warnings } =
    job.cut.kind === 'as-drawn' ? linesToCut(roles) : { shapes: roles.openings, warnings: undefined };
  refuseTooWide(drawing, [...edges, ...roles.outline]);
  return {
    edges,
    warnings: warnings ?? [...openOutline(roles, job.join), ...roles.warnings, ...nestedOpenings(roles)],
  };
};

/**
 * Lines that are cut as drawn are cut whatever their roles.
 *
 * @throws InputError for roles in doubt
 */
export const refuseDoubt = ({ job, roles }: { readonly job: Job; readonly roles: RoleAssignment }): void => {
  if (job.cut.kind !== 'as-drawn') refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
};
