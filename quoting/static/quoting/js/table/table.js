// The drawing table. Every act goes through one queue (sending.js); each tool is a module of its own.
import { Adding } from "./adding.js";
import { Dragging } from "./dragging.js";
import { Drawing } from "./drawing.js";
import { startForms } from "./forms.js";
import { Keys } from "./keys.js";
import { startLeaving } from "./leaving.js";
import { showNear } from "./picking.js";
import { Plan } from "./plan.js";
import { Scene } from "./scene.js";
import { Selecting } from "./selecting.js";
import { Sending } from "./sending.js";

const table = document.getElementById("table");
const scene = new Scene(table);
const sending = new Sending(table, scene);
const drawing = new Drawing(scene, sending);
const selecting = new Selecting(scene, sending, drawing);
new Dragging(scene, sending, selecting);
new Plan(scene, sending, selecting);
new Adding(scene, sending, drawing);
new Keys(scene, sending, drawing, selecting);
startForms(scene, sending);
startLeaving(table, sending);
showNear(scene);
scene.measure();
sending.resume();
table.dataset.ready = "";
