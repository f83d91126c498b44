/** The verdict of a large job: 200 openings with 100 edge vertices each, and twice and four times as many. */
import { bench, describe } from 'vitest';
import { checkFit } from '../../src/verdict/check.js';
import { fitOf, readingsOf } from '../verdict/jobs.js';
import { polygon } from '../verdict/shapes.js';

const bloom = (id: string, x: number, y: number) =>
  polygon(
    id,
    Array.from({ length: 100 }, (_, i) => {
      const angle = (2 * Math.PI * i) / 100;
      const radius = 10 * (1 + 0.2 * Math.cos(5 * angle));
      return { x: x + radius * Math.cos(angle), y: y + radius * Math.sin(angle) };
    }),
  );

const observations = readingsOf();

for (const model of ['rigid', 'affine'] as const) {
  describe(`check, ${model} fit of four marks`, () => {
    const options = { model, readingSd: 0.1, markSd: 0 };
    const fit = fitOf(observations, options);
    for (const count of [200, 400, 800]) {
      const openings = Array.from({ length: count }, (_, i) =>
        bloom(`bloom ${i}`, 20 + 28 * (i % 20), 30 + 35 * Math.floor(i / 20)),
      );
      bench(`${count} openings, ${count * 100} vertices`, () => {
        checkFit({
          fit,
          observations,
          options,
          openings,
          face: 'up',
          pierced: { kerf: 0, compensated: true },
          cut: {
            kind: 'opening',
            clearance: 0.5,
            kerf: 0.12,
            corners: 'mitre',
            mitreLimit: 4,
            apply: 'full',
          },
          check: { acceptedRisk: 0.05, cutSd: 0.03, kerfSd: 0.02 },
        });
      });
    }
  });
}
