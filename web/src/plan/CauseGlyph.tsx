// What can fail, as marks told apart by shape: the signs that circuit and network drawings use for such things.

import type { ReactNode } from "react";

export type CauseShape =
  | "mains"
  | "circuit"
  | "line"
  | "line-backup"
  | "part"
  | "battery"
  | "cable"
  | "radio"
  | "shared-way"
  | "device";

/** Drawn about the origin, 14 px wide, in the colour of the text around it. */
export function causeShape(shape: CauseShape): ReactNode {
  switch (shape) {
    case "mains":
      return (
        <>
          <circle r="6.6" />
          <path d="M-4,0C-3,-4.6 -1,-4.6 0,0S3,4.6 4,0" />
        </>
      );
    case "circuit":
      return <path d="M-7,2.5H-3L3.2,-3.6M3.2,2.5H7M1.6,0.9L4.8,4.1M4.8,0.9L1.6,4.1" />;
    case "line":
      return <path d="M-7,0H2.6M-1,-3.6L2.8,0L-1,3.6M6,-6V6" />;
    case "line-backup":
      return <path d="M-6,-6V6M-6,0H-2M-2,-4.5V4.5M1.4,-2.2V2.2M1.4,0H3.2M4.8,0H7" />;
    case "part":
      return <rect x="-6.2" y="-4.4" width="12.4" height="8.8" />;
    case "battery":
      return <path d="M-7,0H-2M-2,-5.5V5.5M2,-2.8V2.8M2,0H7" />;
    case "cable":
      return (
        <>
          <circle cx="-5" r="2" />
          <circle cx="5" r="2" />
          <path d="M-3,0H3" />
        </>
      );
    case "radio":
      return <path d="M-5.5,3.5h0.01M-5.5,-0.5A4,4 0 0 1 -1.5,3.5M-5.5,-4.5A8,8 0 0 1 2.5,3.5" />;
    case "shared-way":
      return <path d="M-7,-4H7M-7,4H7M-5,-1.2H5M-5,1.2H5" />;
    case "device":
      return <path d="M-6,-5H6V2.6H-6ZM-3.4,5.4H3.4" />;
  }
}

/** The mark by itself, in a line of text; what it stands for is said beside it. */
export function CauseGlyph({ shape }: { shape: CauseShape }) {
  return (
    <svg className="cause-glyph" width="18" height="16" viewBox="-9 -8 18 16" aria-hidden="true">
      {causeShape(shape)}
    </svg>
  );
}
