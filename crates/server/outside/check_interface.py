"""Holds the running server to its own OpenAPI document, with general-purpose checkers from outside the project.

Usage: check_interface.py PROGRAM. The last line is `N passed, N failed, N skipped`.

1. openapi-spec-validator: the document is a valid OpenAPI 3.1 document.
2. schemathesis: requests made from the document, good and bad, get answers that the document promises, and never a
   failure of the server. The seed is fixed, so that two runs send the same requests.
3. SQLite's own check of the store, after the server was killed in the midst of it.
"""

import json
import pathlib
import signal
import sqlite3
import subprocess
import sys
import tempfile
import urllib.request
import xml.etree.ElementTree

from openapi_spec_validator import OpenAPIV31SpecValidator

SEED = 20261125
EXAMPLES = 12

# What a server can promise whatever it is sent.
CHECKS = ",".join([
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
    "negative_data_rejection",
    "unsupported_method",
])


def start(program, data):
    """Starts the server on a free port and returns it with its address."""
    command = [program, "serve", "--data", str(data), "--port", "0"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    for line in server.stdout:
        words = [word for word in line.split() if word.startswith("http://")]
        if words:
            return server, words[0].rstrip("/")
    sys.exit("the server ended before it said where it is")


def ask(address, path, body=None):
    """Sends a request as the page would, and returns the JSON of the answer."""
    data = None if body is None else json.dumps(body).encode()
    headers = {"Origin": address, "Content-Type": "application/json"}
    request = urllib.request.Request(address + path, data=data, headers=headers)
    with urllib.request.urlopen(request, timeout=30) as answer:
        return json.load(answer)


def check_document(document):
    """What is wrong with the document."""
    return [f"{error.json_path}: {error.message}" for error in OpenAPIV31SpecValidator(document).iter_errors()]


def exercise(address, job, design, folder):
    """Runs the property-based tester; the operations that passed, and those that failed."""
    # Requests about a job that is there reach further than those about random ids.
    config = folder / "schemathesis.toml"
    config.write_text(f'[parameters]\n"path.id" = "{job}"\n"query.design" = "{design}"\n')
    report = folder / "report.xml"
    tester = pathlib.Path(sys.executable).with_name("schemathesis")
    command = [
        tester, "--config-file", config, "run", f"{address}/api/openapi.json", "--checks", CHECKS,
        "--phases", "examples,coverage,fuzzing", "--max-examples", str(EXAMPLES), "--seed", str(SEED),
        "--header", f"Origin:{address}", "--request-timeout", "60", "--no-color", "--continue-on-failure",
        "--suppress-health-check", "all", "--warnings", "off",
        "--report", "junit", "--report-junit-path", report,
    ]
    subprocess.run([str(word) for word in command], check=False, cwd=folder)
    cases = list(xml.etree.ElementTree.parse(report).getroot().iter("testcase"))
    failed = [case for case in cases if case.find("failure") is not None or case.find("error") is not None]
    skipped = [case for case in cases if case.find("skipped") is not None]
    return len(cases) - len(failed) - len(skipped), len(failed), len(skipped)


def check_store(data):
    """What SQLite says of the store's file."""
    databases = [path for path in data.rglob("*") if path.is_file() and path.read_bytes()[:15] == b"SQLite format 3"]
    if not databases:
        return ["there is no database to check"]
    problems = []
    for path in databases:
        with sqlite3.connect(path) as database:
            for pragma in ["integrity_check", "foreign_key_check"]:
                rows = database.execute(f"PRAGMA {pragma}").fetchall()
                problems += [str(row) for row in rows if row != ("ok",)]
    return problems


def main():
    passed = failed = skipped = 0

    def count(name, problems):
        nonlocal passed, failed
        print(f"{name}: {'ok' if not problems else ''}", *problems, sep="\n  " if problems else "")
        passed, failed = passed + (not problems), failed + bool(problems)

    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        data = folder / "data"
        server, address = start(sys.argv[1], data)
        try:
            document = ask(address, "/api/openapi.json")
            count("OpenAPI document, openapi-spec-validator", check_document(document))
            demos = ask(address, "/api/demos")["demos"]
            job = ask(address, f"/api/demos/{demos[0]['id']}", {})["id"]
            design = ask(address, f"/api/jobs/{job}/plan")["plan"]["options"][0]["id"]
            good, bad, left = exercise(address, job, design, folder)
            passed, failed, skipped = passed + good, failed + bad, skipped + left
            alive = server.poll() is None
            count("the server is still there", [] if alive else [f"it ended with {server.returncode}"])
        finally:
            server.send_signal(signal.SIGKILL)
            server.wait()
        count("store, SQLite's integrity check", check_store(data))
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
