import { describe, expect, it } from 'vitest';
import { mutatedLoose as mutatedDxf } from './mutations/dxf.js';
import { type Course, throughPipeline } from './mutations/pipeline.js';
import { mutated as mutatedSvg } from './mutations/svg.js';

/** Some of the thousands that tests/evidence/mutations.js goes through. */
describe('any drawing, from its bytes to the cut file', () => {
  it.each([
    ['SVG', 'fern.svg', mutatedSvg],
    ['DXF', 'fern.dxf', mutatedDxf],
  ])('%s with random mistakes is refused as input or gives numbers throughout', (_name, path, mutated) => {
    const courses: Record<Course, number> = { refused: 0, listed: 0, cut: 0 };
    for (let index = 0; index < 60; index += 1) {
      const kind = index % 3 === 0 ? 'as-drawn' : 'opening';
      courses[throughPipeline(mutated(index), path, kind)] += 1;
    }
    expect(courses.refused).toBeGreaterThan(5);
    expect(courses.cut).toBeGreaterThan(5);
  });
});
