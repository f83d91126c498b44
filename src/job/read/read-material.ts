/**
 * The key `material` of a job: what the panel is made of, and the air it was pierced and is cut in.
 */
import { bounds } from '../bounds.js';
import { type JobMaterial, materials } from '../job.js';
import { type Field, knownEntries, pair, required, word } from './fields.js';

export const materialKeys = ['kind', 'humidity', 'temperature'] as const;

/** @throws InputError */
export const readMaterial = (field: Field): JobMaterial => {
  const keys = knownEntries(field, materialKeys);
  const kind = required(field, keys.kind, 'kind', `Write kind: and one of ${materials.join(', ')}.`);
  const { humidity, temperature } = keys;
  return {
    kind: word(kind, materials),
    ...(humidity
      ? {
          humidity: pair(
            humidity,
            'two relative humidities [when pierced, now] in %',
            bounds['material.humidity'],
          ),
        }
      : {}),
    ...(temperature
      ? {
          temperature: pair(
            temperature,
            'two temperatures [when pierced, now] in degrees Celsius',
            bounds['material.temperature'],
          ),
        }
      : {}),
  };
};
