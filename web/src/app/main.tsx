/** Starts the page. */

import "../ui/fonts.css";
import "../ui/tokens.css";
import "../ui/base.css";
import { QueryClientProvider } from "@tanstack/react-query";
import { createRoot } from "react-dom/client";
import { client } from "../store/queries.ts";
import { App } from "./App.tsx";

const root = document.getElementById("root");
if (root) {
  createRoot(root).render(
    <QueryClientProvider client={client}>
      <App />
    </QueryClientProvider>,
  );
}
