import { describe, expect, test } from 'vitest';
import { materialWarnings, movementOf, type Panel } from '../../src/calibration/material.js';
import { type JobMaterial, materials } from '../../src/job/job.js';
import { fitJob, loadJob } from '../../src/reseat.js';

describe('Movement of a material (data sheets, seen in quotation)', () => {
  test.each([
    ['a metre of aluminium by 10 K', 'aluminium', { warmth: 10 }, 0.24, 0.24],
    ['a metre of cast acrylic by 10 K', 'acrylic', { warmth: 10 }, 0.72, 0.77],
    ['a metre of MDF from 30 to 90 % relative humidity', 'mdf', { moisture: 60 }, 3, 3],
    ['a metre of plywood by 10 % relative humidity', 'plywood', { moisture: 10 }, 0.2, 0.2],
    ['a metre of cast acrylic that cools by 10 K', 'acrylic', { warmth: -10 }, -0.77, -0.72],
  ] as const)('%s', (_what, material, change, low, high) => {
    const moved = movementOf(material, 1000, change)!;
    expect(moved[0]).toBeCloseTo(low, 9);
    expect(moved[1]).toBeCloseTo(high, 9);
  });

  test('of which no figure is known is not taken for nothing', () => {
    expect(movementOf('mdf', 1000, { warmth: 10 })).toBeUndefined();
  });
});

describe('A panel that may have moved since it was pierced', () => {
  const long: Panel = { length: 800, clearance: 0.5, model: 'rigid', readingSd: 0.06 };
  const told = (material: JobMaterial, panel: Panel = long): string =>
    materialWarnings(material, panel)
      .map((w) => w.message)
      .join();

  test('is told with what should have happened to it, beside the sd of a reading, and what to do', () => {
    // 800 mm x 0.3 % / 60 % x 20 % = 0.8 mm.
    expect(told({ kind: 'mdf', humidity: [40, 60] })).toBe(
      '800 mm of MDF should have grown by about 0.80 mm by 20 % of relative humidity, half of it at either end, where the clearance is 0.5 mm and a reading is out by 0.06 mm. This is an estimate from data sheets: nothing is corrected by it, and the risk leaves it out. Read marks near both ends; with three or more, fit: {model: similarity} follows the size, and affine also a size that differs between x and y.',
    );
    expect(told({ kind: 'acrylic', temperature: [30, 15] })).toContain(
      'should have shrunk by about 0.92 mm by 15 K',
    );
  });

  test('in air that nobody measured is told what may have gone unnoticed', () => {
    expect(told({ kind: 'mdf' })).toContain(
      'may have changed by about 0.40 mm for 10 % of relative humidity, which go unnoticed',
    );
    // Humidity says nothing of acrylic, whose warmth nobody measured.
    expect(told({ kind: 'acrylic', humidity: [40, 90] })).toContain(
      'may have changed by about 0.62 mm for 10 K',
    );
  });

  test('is not told of where it is short, whatever it is made of', () => {
    for (const kind of materials) {
      expect(told({ kind, humidity: [30, 90], temperature: [0, 40] }, { ...long, length: 300 })).toBe('');
    }
  });

  test('is not told of where the movement is small against the clearance, or against a reading', () => {
    expect(told({ kind: 'mdf' }, { ...long, clearance: 3 })).toBe('');
    expect(told({ kind: 'mdf' }, { ...long, readingSd: 0.3 })).toBe('');
    expect(told({ kind: 'plywood' })).toBe('');
    expect(told({ kind: 'mdf', humidity: [50, 50] })).toBe('');
  });

  test('is not told of where the model follows the size by itself', () => {
    expect(told({ kind: 'mdf', humidity: [40, 60] }, { ...long, model: 'similarity' })).toBe('');
    expect(told({ kind: 'mdf', humidity: [40, 60] }, { ...long, model: 'affine' })).toBe('');
  });

  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="200mm" viewBox="0 0 900 200">
    <g id="openings"><circle id="a" cx="450" cy="100" r="20"/></g><rect id="outline" width="900" height="200"/></svg>`;
  const fitted = (more: string) => {
    const text = [
      'drawing: panel.svg',
      'marks: {A: [10, 10], B: [890, 10], C: [450, 190]}',
      'readings: {A: [10, 10], B: [890, 10], C: [450, 190]}',
      'fit: {reading-sd: 0.05}',
      more,
    ].join('\n');
    return fitJob(loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) }));
  };

  test('moves no figure of the fit: the warning is all', () => {
    const plain = fitted('');
    const warned = fitted('material: {kind: mdf, humidity: [40, 60], temperature: [18, 24]}');
    expect(warned.outcome).toEqual(plain.outcome);
    expect(warned.warnings.map((w) => w.code)).toEqual([
      ...plain.warnings.map((w) => w.code),
      'material-moves',
    ]);
    expect(warned.warnings.at(-1)!.message).toContain('900 mm of MDF should have grown by about 0.90 mm');
  });

  test.each([
    ['another material', 'material: {kind: oak}', 'mdf, plywood, acrylic or aluminium'],
    ['a humidity above 100 %', 'material: {kind: mdf, humidity: [40, 160]}', '100 or less'],
    ['one humidity alone', 'material: {kind: mdf, humidity: 50}', 'two relative humidities'],
    ['no kind', 'material: {humidity: [40, 50]}', 'no key "kind" in material'],
  ])('is refused: %s', (_, more, message) => {
    expect(() => fitted(more)).toThrow(message);
  });
});
