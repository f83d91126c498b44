import { describe, expect, it } from 'vitest';
import { refuseTooWide } from '../../src/drawing/model/too-wide.js';
import { circle, readParts } from './dxf-text.js';
import { inputErrorOf } from './svg-text.js';

describe('the size of what is to be cut', () => {
  it('is refused beyond a hundred metres, wherever it lies', () => {
    const far = readParts({ entities: [circle(5e8, 4e8, 30), circle(5e8 + 900, 4e8, 30)] });
    expect(() => refuseTooWide(far, far.shapes)).not.toThrow();
    const vast = readParts({ entities: [circle(0, 0, 30), circle(5e8, 0, 30)] });
    const error = inputErrorOf(() => refuseTooWide(vast, vast.shapes));
    expect(error.message).toBe('edges that reach over 500000 m; expected a part of at most 100 m');
    expect(error.where).toMatchObject({ file: 'panel.dxf', element: 'circle-2' });
    expect(() => refuseTooWide(vast, [])).not.toThrow();
  });
});
