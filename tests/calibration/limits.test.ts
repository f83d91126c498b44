/** A small part of the study in tests/evidence/calibration.ts; `npm run evidence` has the full one. */
import { describe, expect, it } from 'vitest';
import { calibrationScenarios, studyCalibration } from '../evidence/calibration.js';

const quick = [
  'sd 0.05, display 0.1',
  'sd 0.1, display 0.5',
  'sd 0.1, crosses 0.05',
  'sd 0.02, from cut to cut 0.03',
  'sd 0.05, 3 dots',
  'rows of two marks exchanged',
  'strips miscounted by one',
  'sent and read exchanged',
  'two dots read for each other',
];

describe('A calibration', () => {
  it.each(calibrationScenarios.filter(({ name }) => quick.includes(name)))(
    '$kind, $name: what is written holds within its limits, a mistake is named and not written',
    (scenario) => {
      const { held, written, named } = studyCalibration(scenario, 60, 'quick');
      if (named !== undefined) expect(named).toBeGreaterThan(90);
      else {
        expect(written).toBeGreaterThan(85);
        // 60 data sets: three sds of the count.
        for (const share of held) if (!Number.isNaN(share)) expect(share).toBeGreaterThan(86);
      }
    },
  );
});
