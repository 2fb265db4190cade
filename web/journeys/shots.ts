/** Pictures of every page and sheet, at three sizes, light and dark, to be looked at by people: `npm run shots`. */

import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { launch, type SizeName, sizes, type Theme, visit } from "./lib/browser.ts";
import { Program } from "./lib/program.ts";
import { settled } from "./lib/steps.ts";

const folder = join(import.meta.dirname, "shots");
const themes: Theme[] = ["light", "dark"];

interface Demo {
  id: string;
}

/** With names of demo homes, only those; `--sizes=desk,phone` and `--themes=light` leave the others out. */
export async function run(options: string[]): Promise<void> {
  const asked = (name: string) =>
    options
      .find((option) => option.startsWith(`--${name}=`))
      ?.split("=")[1]
      ?.split(",");
  const named = options.filter((option) => !option.startsWith("--"));
  mkdirSync(folder, { recursive: true });
  const program = await Program.start();
  const browser = await launch();
  const { demos } = await program.get<{ demos: Demo[] }>("/demos");
  const jobs: [string, string][] = [];
  for (const { id } of demos) {
    if (named.length === 0 || named.includes(id)) jobs.push([id, await program.demo(id)]);
  }
  const addresses: [string, string][] = [
    ["jobs", "/"],
    ["archived", "/?archived=true"],
    ["new", "/new"],
    ["import", "/import"],
    ["nowhere", "/no/such/page"],
    ...jobs.flatMap(([demo, id]): [string, string][] => [
      [`${demo}-house`, `/jobs/${id}/house`],
      [`${demo}-house-all`, `/jobs/${id}/house?storey=all`],
      [`${demo}-options`, `/jobs/${id}/options`],
      [`${demo}-coverage`, `/jobs/${id}/coverage`],
      [`${demo}-rate`, `/jobs/${id}/coverage?band=5&quantity=rate`],
      [`${demo}-capacity`, `/jobs/${id}/capacity`],
      [`${demo}-devices`, `/jobs/${id}/capacity?schedule=devices&storey=all`],
      [`${demo}-activities`, `/jobs/${id}/capacity?schedule=activities&order=unmet`],
      [`${demo}-line`, `/jobs/${id}/capacity?schedule=line`],
      [`${demo}-channel-plan`, `/jobs/${id}/capacity?schedule=plan`],
      [`${demo}-resilience`, `/jobs/${id}/resilience`],
      [`${demo}-cut`, `/jobs/${id}/resilience?stay=cuts&cut=0`],
      [`${demo}-off`, `/jobs/${id}/resilience?stay=components&off=router&storey=all`],
      [`${demo}-outages`, `/jobs/${id}/resilience?stay=outages`],
      [`${demo}-changes`, `/jobs/${id}/resilience?stay=changes`],
      [`${demo}-cost`, `/jobs/${id}/cost`],
      [`${demo}-price`, `/jobs/${id}/cost?cost=price`],
      [`${demo}-spools`, `/jobs/${id}/cost?cost=spools`],
      [`${demo}-work`, `/jobs/${id}/cost?cost=work`],
      [`${demo}-statements`, `/jobs/${id}/cost?cost=statements`],
      [`${demo}-offers`, `/jobs/${id}/cost?cost=offers`],
      [`${demo}-terms`, `/jobs/${id}/cost?cost=terms`],
      [`${demo}-probability`, `/jobs/${id}/coverage?band=2.4&quantity=probability`],
    ]),
  ];
  for (const size of asked("sizes") ?? Object.keys(sizes)) {
    for (const theme of asked("themes") ?? themes) {
      const shown = await visit(browser, program.origin, { size: size as SizeName, theme: theme as Theme });
      for (const [name, address] of addresses) {
        await shown.to(address);
        await shown.page.waitForLoadState("networkidle");
        if (address.startsWith("/jobs/")) await settled(shown.page);
        await shown.page.waitForTimeout(300);
        await shown.page.screenshot({
          path: join(folder, `${name}-${size}-${theme}.png`),
          fullPage: size !== "desk",
        });
      }
      for (const fault of shown.faults) process.stderr.write(`${size} ${theme}: ${fault}\n`);
      await shown.context.close();
    }
  }
  await browser.close();
  await program.remove();
  process.stdout.write(`Pictures are in ${folder}\n`);
}
