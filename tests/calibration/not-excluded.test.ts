/** A mistake that the measurements do not show, and do not exclude either: the limits hold the truth all the same. */
import { describe, expect, test } from 'vitest';
import { calibrationScenarios, studyCalibration } from '../evidence/calibration.js';

const studied = (kind: string, name: string, trials: number) =>
  studyCalibration(
    calibrationScenarios.find((one) => one.kind === kind && one.name === name)!,
    trials,
    'not excluded',
  );

describe('Mistakes that stay hidden in a calibration', () => {
  test('two diagonals in each other’s places: the skew of what is written holds', () => {
    const { written, held } = studied('bed', 'diagonals exchanged', 120);
    // About three in ten beds are so nearly square that nothing tells.
    expect(written).toBeGreaterThan(15);
    expect(held[2]).toBeGreaterThan(85);
  });

  test('strips that were not pressed together: the kerf of what is written holds', () => {
    const { written, held } = studied('kerf', 'strips not pressed together (0.05 in each gap)', 300);
    expect((written * (100 - held[0]!)) / 100).toBeLessThan(2.5);
  });

  test('x and y of one reading exchanged at a mark that has them nearly alike: named, or the sd of what is written holds', () => {
    const { written, held, named } = studied('pointer', 'x and y of a row exchanged', 1000);
    expect(written + named!).toBeGreaterThan(99);
    expect(written).toBeLessThan(10);
    // About 70 data sets: three sds of the count.
    expect(held[0]).toBeGreaterThan(87);
  });

  test('cuts that differ by about as much as the caliper errs: kerf-sd covers a further cut', () => {
    const { written, held } = studied('kerf', 'sd 0.02, from cut to cut 0.03', 1500);
    expect(written).toBeGreaterThan(95);
    // Two sds of the count below 95.
    for (const share of held) expect(share).toBeGreaterThan(93.8);
  });

  test('a pointer read on a display about as coarse as it scatters: the limits of its sd hold', () => {
    const { held } = studied('pointer', 'sd 0.05, display 0.1', 1500);
    expect(held[0]).toBeGreaterThan(93.8);
    expect(held[0]).toBeLessThan(97.5);
  });

  test('sound data keep limits that hold nineteen in twenty, not all of them', () => {
    const { held } = studied('bed', 'sd 0.1, crosses 0.05', 200);
    expect(held[2]).toBeGreaterThan(90);
    expect(held[2]).toBeLessThan(99.5);
  });
});
