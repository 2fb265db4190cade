/** The open line of the job that is shown, and what happens when it is lost or the job changes elsewhere. */

import { useEffect, useState } from "react";
import { Live } from "../engine/live.ts";
import { text } from "../text.ts";
import { announce } from "./announce.ts";
import { outboxOf, setConnected, useOutboxes } from "./outbox.ts";
import { client, keys } from "./queries.ts";

export function useLive(id: string, onBack: () => void): Live | null {
  const [live, setLive] = useState<Live | null>(null);
  useEffect(() => {
    let wasLost = false;
    const line = new Live(id, {
      changed: (revision) => {
        const { revision: known, isSending } = outboxOf(id);
        if (isSending || revision <= (known ?? 0)) return;
        announce(text.job.somebodyEdited(revision));
        void client.invalidateQueries({ queryKey: keys.job(id) });
      },
      connected: (isOpen) => {
        if (!isOpen) {
          wasLost = true;
          setConnected(false);
          return;
        }
        setConnected(true);
        if (!wasLost) return;
        wasLost = false;
        announce(text.connection.back);
        onBack();
        void client.invalidateQueries({ queryKey: keys.job(id) });
        void client.refetchQueries({ predicate: (query) => query.state.status === "error" });
      },
    });
    setLive(line);
    return () => line.close();
  }, [id, onBack]);
  return live;
}

export function useIsConnected(): boolean {
  return useOutboxes((state) => state.isConnected);
}
