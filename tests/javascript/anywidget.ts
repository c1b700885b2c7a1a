/* What anywidget's own types say it hands to a script is what our scripts take. */
import type { AnyModel, Render } from "@anywidget/types";

type Widget<State> = State & Record<string, unknown>;
export const model = (given: AnyModel<Widget<Kit.TaskWidget>>): Kit.Model<Kit.TaskWidget, Kit.TaskAsk> => given;
export const render = (ours: Kit.Render<Kit.ExplorerState, Kit.DrawAsk, Kit.Drawn>): Render<Widget<Kit.ExplorerState>> => ours;
