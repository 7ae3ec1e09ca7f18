// Run by Node: calls our functions in the browser's Python, as pailbook.hosts.excel gives them there.
// Arguments: the folder of our package, a file with the calls, and the file for the answers, all in JSON.
import { readFileSync, writeFileSync } from "node:fs";
import { loadPyodide } from "pyodide";

const [, , folder, questions, answers] = process.argv;
const python = await loadPyodide();
python.mountNodeFS("/package", folder);
python.globals.set("asked", JSON.parse(readFileSync(questions, "utf-8")));
const result = await python.runPythonAsync(`
import sys
sys.path.insert(0, "/package")
import json
import pailbook.hosts.excel as excel
answers = [getattr(excel, name)(*given) for name, given in asked.to_py()]
foreign = sorted({m.split(".")[0] for m in sys.modules} - set(sys.stdlib_module_names))
json.dumps({"answers": answers, "foreign": foreign, "version": sys.version_info[:2]})
`);
writeFileSync(answers, result);
