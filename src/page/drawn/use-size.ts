/** The room that an element has, px. */
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

export const useSize = <E extends Element>(first: readonly [number, number]) => {
  const ref = useRef<E>(null);
  const [size, setSize] = useState(first);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const measure = (): void => {
      const { width, height } = element.getBoundingClientRect();
      if (width > 0 && height > 0)
        setSize(([w, h]) => (w === width && h === height ? [w, h] : [width, height]));
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, size] as const;
};
