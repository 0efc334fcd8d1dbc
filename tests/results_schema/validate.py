"""Reads one JSON value a line; prints for each whether it follows the schema, by a second implementation."""
import json
import sys

from jsonschema import Draft202012Validator

with open(sys.argv[1], encoding="utf-8") as file:
    schema = json.load(file)
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
for line in sys.stdin.buffer.read().split(b"\n")[:-1]:
    print("valid" if validator.is_valid(json.loads(line)) else "refused")
