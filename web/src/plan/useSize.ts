// The size of an element, kept up to date.

import { type RefObject, useLayoutEffect, useState } from "react";
import type { Size } from "../geometry/brand.ts";

export function useSize(ref: RefObject<HTMLElement | null>): Size {
  const [size, setSize] = useState<Size>({ width: 0, height: 0 });
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = (width: number, height: number): void =>
      setSize((now) => (now.width === width && now.height === height ? now : { width, height }));
    measure(element.clientWidth, element.clientHeight);
    const observer = new ResizeObserver(([entry]) => {
      if (entry) measure(Math.round(entry.contentRect.width), Math.round(entry.contentRect.height));
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, [ref]);
  return size;
}
