/** The key `material` of a job: what the panel is made of, and the air it was pierced and is cut in. */
import { type Field, knownEntries, pair, required, word } from './fields.js';
import { type JobMaterial, materials } from './job.js';

export const materialKeys = ['kind', 'humidity', 'temperature'] as const;

const humidityRule = { unit: '%', atLeast: 0, atMost: 100 } as const;
const temperatureRule = { unit: 'degrees Celsius', atLeast: -50, atMost: 100 } as const;

/** @throws InputError */
export const readMaterial = (field: Field): JobMaterial => {
  const keys = knownEntries(field, materialKeys);
  const kind = required(field, keys.kind, 'kind', `Write kind: and one of ${materials.join(', ')}.`);
  const { humidity, temperature } = keys;
  return {
    kind: word(kind, materials),
    ...(humidity
      ? { humidity: pair(humidity, 'two relative humidities [when pierced, now] in %', humidityRule) }
      : {}),
    ...(temperature
      ? {
          temperature: pair(
            temperature,
            'two temperatures [when pierced, now] in degrees Celsius',
            temperatureRule,
          ),
        }
      : {}),
  };
};
