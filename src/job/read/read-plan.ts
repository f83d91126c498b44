/** The key `plan` of a job: what a pattern of marks may be made of. */
import { bounds } from '../bounds.js';
import { type PlanSettings, type PlanUse, planUses } from '../job.js';
import { type Field, items, knownEntries, number, refused, text, word } from './fields.js';

const planKeys = ['marks', 'use', 'allowed', 'from-openings', 'from-edge', 'spacing', 'grid'] as const;

export const readPlan = (field: Field): PlanSettings => {
  const keys = knownEntries(field, planKeys);
  const length = (key: 'from-openings' | 'from-edge' | 'spacing' | 'grid'): number | undefined => {
    const of = keys[key];
    return of ? number(of, bounds[`plan.${key}`]) : undefined;
  };
  const marks = keys.marks ? number(keys.marks, bounds['plan.marks']) : undefined;
  if (keys.marks && !Number.isInteger(marks)) {
    throw refused(keys.marks, 'a whole number', 'Write how many marks the plan is for: 2, 3 or 4.');
  }
  const settings = {
    marks,
    use: keys.use ? usesOf(keys.use) : undefined,
    allowed: keys.allowed ? text(keys.allowed, 'the name of a layer or shape of the drawing') : undefined,
    fromOpenings: length('from-openings'),
    fromEdge: length('from-edge'),
    spacing: length('spacing'),
    grid: length('grid'),
  };
  return Object.fromEntries(Object.entries(settings).filter(([, value]) => value !== undefined));
};

const usesOf = (field: Field): PlanUse[] => {
  const parts = items(field, `a list of ${planUses.join(', ')}`);
  if (parts.length === 0) {
    throw refused(field, `at least one of ${planUses.join(', ')}`, 'Remove the key for marks on free land.');
  }
  return [...new Set(parts.map((part) => word(part, planUses)))];
};
