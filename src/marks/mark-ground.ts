/** Where marks can lie, from what is drawn. */
import { panelBox } from '../drawing/assumed-scale.js';
import type { Drawing } from '../drawing/model/drawing.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import { joinBoxes } from '../geometry/point.js';
import type { MarkGround } from './typed-marks.js';

interface Drawn {
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
}

/** The panel and the page; the panel is the outline, or the box of all that is drawn. */
export const groundOf = ({ drawing, roles }: Drawn): MarkGround => {
  const panel = panelBox(drawing, roles);
  const { page } = drawing;
  return { ...(panel === undefined ? {} : { panel }), ...(page === undefined ? {} : { page }) };
};

/**
 * The same with room for marks beside the openings: without an outline nobody knows how far the
 * panel reaches past them. Twice the length of the drawing on every side, and the page, hold any
 * mark.
 */
export const placesAround = (drawn: Drawn): MarkGround => {
  const ground = groundOf(drawn);
  if (ground.panel === undefined || drawn.roles.outline.length > 0) return ground;
  const { minX, minY, maxX, maxY } = ground.panel;
  const past = Math.max(maxX - minX, maxY - minY);
  const around = { minX: minX - past, minY: minY - past, maxX: maxX + past, maxY: maxY + past };
  return { ...ground, panel: ground.page === undefined ? around : joinBoxes(around, ground.page) };
};
