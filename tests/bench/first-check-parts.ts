/** What first-check.mjs measures. */
export { adjust } from '../../src/fit/adjust.js';
export { checkFit } from '../../src/verdict/check.js';
export { placedEdges } from '../../src/verdict/edges/edge.js';
export { errorField } from '../../src/verdict/risk/error-field.js';
export { assessRisk } from '../../src/verdict/risk/risk.js';
