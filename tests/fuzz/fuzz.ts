/** What run.js takes of this folder. */
export { fuzzCase } from './cases.js';
export { putFiles, tryCase } from './try-case.js';
