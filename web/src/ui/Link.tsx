/** A link to a view of this page. It is a real link: it can be opened elsewhere, copied and bookmarked. */

import type { AnchorHTMLAttributes, MouseEvent } from "react";
import { addressOf, type View } from "../document/address.ts";
import { go } from "../store/navigation.ts";

interface Props extends Omit<AnchorHTMLAttributes<HTMLAnchorElement>, "href"> {
  to: View;
}

export function Link({ to, onClick, ...rest }: Props) {
  const follow = (event: MouseEvent<HTMLAnchorElement>) => {
    onClick?.(event);
    const isPlain =
      event.button === 0 && !event.metaKey && !event.ctrlKey && !event.shiftKey && !event.altKey;
    if (!isPlain || event.defaultPrevented) return;
    event.preventDefault();
    go(to);
  };
  return <a href={addressOf(to)} onClick={follow} {...rest} />;
}
