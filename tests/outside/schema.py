"""The JSON Schema through a validator that is not ours.

Usage: schema.py DROPRACK. The demo and the manual's examples must validate;
slips that the program tells must be told by the schema too.
"""

import json
import subprocess
import sys
import tomllib

import jsonschema

ROOT = __file__.rsplit("/tests/", 1)[0]


def schema(kind):
    text = subprocess.run([sys.argv[1], "schema", kind], capture_output=True, check=True, text=True).stdout
    made = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


def load(path):
    with open(f"{ROOT}/{path}", "rb") as f:
        return tomllib.load(f)


job, template, bin_ = schema("job"), schema("template"), schema("bin")
demo = "templates/jobs/hill-climb-buggy"
good = [(job, load(f"{demo}/job.toml")), (bin_, load(f"{demo}/bin.toml")), (job, load("templates/jobs/starter/job.toml"))]
for name in ["tank-strap", "strap-hanger", "rail-pad", "bearing-plate", "pedal-offset"]:
    good.append((template, load(f"templates/{name}.toml")))
for name in ["tube-clip", "battery-tray-corner"]:
    good.append((template, load(f"src/report/manual/{name}.toml")))
for validator, data in good:
    faults = [f"{list(e.path)}: {e.message}" for e in validator.iter_errors(data)]
    assert not faults, faults
bad = ["unknown-key", "unknown-word", "wrong-kind", "unknown-answer", "missing-name", "part-hand", "cut-unknown-key"]
for name in bad:
    assert not job.is_valid(load(f"tests/bad/jobs/{name}.toml")), name
for name in ["hole-without-size", "step-both", "no-stock", "two-forms", "rectangle-without-width", "check-value-alone"]:
    assert not template.is_valid(load(f"tests/bad/templates/{name}.toml")), name
for name in ["plate-without-width", "outline-and-length", "buy-without-price", "keep-text"]:
    assert not bin_.is_valid(load(f"tests/bad/bins/{name}.toml")), name
print(f"outside schema validator: {len(good)} good files, {len(bad) + 10} bad ones told")
