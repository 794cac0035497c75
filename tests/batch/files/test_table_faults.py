"""Tables as people write them, and what is wrong in them."""

from __future__ import annotations

import sys
from datetime import date, datetime
from decimal import Decimal

import pyarrow
import pyarrow.parquet
import pytest

from probewright.batch.files import open_jobs
from probewright.batch.files.gathering import MOST_ROWS
from probewright.batch.files.seen import Seen

HEAD = "reference,family,row,complaint,test,value,unit,seen,over_range,values,day,meter,kind"


def table(*rows):
    return "\n".join([HEAD, *rows, ""]).encode()


def row(reference, kind, /, **cells):
    named = {"reference": reference, "family": "gas_range", "row": kind, **cells}
    return ",".join(str(named.get(name, "")) for name in HEAD.split(","))


GOOD = (row("a", "complaint", complaint="bake_does_not_light"),
        row("a", "reading", test="bake_igniter_current", value="2.6", unit="A"))  # fmt: skip
LAST = row("z", "complaint", complaint="no_heat")


def test_readings_and_complaints_are_enough(read):
    got = read(a_csv=table(*GOOD))
    assert got.jobs == [{"case": {
        "family": "gas_range", "reference": "a", "complaints": ["bake_does_not_light"],
        "readings": [{"test": "bake_igniter_current", "value": 2.6, "unit": "A"}],
    }}]  # fmt: skip
    assert got.origins == ["a.csv, rows 2 to 3"]


@pytest.mark.parametrize("delimiter", [";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_other_spreadsheets_write_otherwise(read, delimiter, end, mark):
    content = table(*GOOD, "", LAST).decode().replace(",", delimiter).replace("\n", end).encode()
    got = read(a_csv=mark + content)
    assert got.reasons == [None, None]
    assert got.jobs == read(b_csv=table(*GOOD, LAST)).jobs
    assert got.origins == ["a.csv, rows 2 to 3", "a.csv, row 5"]


def test_a_table_that_is_quoted_throughout_is_the_same(read):
    plain = table(*GOOD, row("z", "complaint", complaint="no_heat"))
    quoted = "\n".join(",".join(f'"{cell}"' for cell in line.split(",")) for line in plain.decode().splitlines())
    assert read(a_csv=quoted.encode()).jobs == read(b_csv=plain).jobs


@pytest.mark.parametrize(
    ("bad", "told"),
    [
        (row("b", "readin", test="t"), "row 4: column row: unknown kind of row 'readin'; did you mean 'reading'?"),
        (row("b", "", test="t"), "row 4: column row: is empty"),
        (row("b", "reading", test="t", value="2.6 A"), "row 4: column value: must be a number, not '2.6 A'"),
        (row("b", "reading", test="t", value='"2,6"'), "row 4: column value: must be a number, not '2,6'; write a"),
        (row("b", "reading", test="t", value="nan"), "row 4: column value: must be a number, not 'nan'"),
        (row("b", "reading", test="t", value="1e999"), "row 4: column value: must be a number"),
        (row("b", "reading", test="t", value="1_0"), "row 4: column value: must be a number"),
        (row("b", "reading", test="t", values="1;x"), "row 4: column values: must be a number, not 'x'"),
        (row("b", "reading", test="t", values='"[1,"'), "row 4: column values: begins as a JSON list and is none"),
        (row("b", "reading", test="t", over_range="1"), "row 4: column over_range: must be true or false, not '1'"),
        (row("b", "complaint", complaint="c", test="t"), "row 4: column test: a row 'complaint' has none"),
        (row("b", "complaint"), "row 4: column complaint: is empty"), (row("b", "meter", kind="k"), "column meter: is"),
        (row("b", "reading", test="t") + ",x", "row 4: has 14 cells, and the header 13"),
        ("b,gas_range,reading", "row 4: has 3 cells, and the header 13"),
    ],
)  # fmt: skip
def test_a_bad_row_spoils_its_case_alone(read, bad, told):
    got = read(a_csv=table(*GOOD, bad, row("b", "complaint", complaint="c"), LAST))
    assert [reason is None for reason in got.reasons] == [True, False, True]
    assert told in got.reasons[1]
    assert got.lines == [1, 2, 3]
    assert got.origins[1] == "a.csv, rows 4 to 5"
    assert got.items[1].text == bad.encode()


@pytest.mark.parametrize(
    ("lost", "told"),
    [
        (row("", "reading", test="t"), "row 4: it has neither reference nor job"),
        (row("a", "reading", test='"t'), "row 4: cannot be split into cells"),
        (row("a", "reading", test='"t"x'), "row 4: cannot be split into cells"),
        (row("a", "reading", test="\0"), "row 4: has a NUL byte"),
    ],
)  # fmt: skip
def test_a_row_of_nobody_spoils_the_cases_on_both_sides(read, lost, told):
    got = read(a_csv=table(*GOOD, lost, row("b", "complaint", complaint="c"), LAST))
    assert [reason is None for reason in got.reasons] == [False, False, True]
    assert told in got.reasons[0]
    assert told in got.reasons[1]


def test_rows_of_nobody_alone_are_told_too(read):
    got = read(a_csv=table(*[row("", "reading", test="t")] * 7))
    (reason,) = got.reasons
    assert reason.startswith("row 2: it has neither reference nor job; row 3: ")
    assert reason.endswith("; and 4 more")
    got = read(b_csv=table(row("", "reading", test="t"), *GOOD))
    assert got.origins == ["b.csv, rows 3 to 4"]
    assert got.reasons == ["row 2: it has neither reference nor job"]


def test_a_reference_that_comes_back_is_told_with_both_rows(read):
    got = read(a_csv=table(*GOOD, LAST, GOOD[1]))
    assert got.reasons[:2] == [None, None]
    assert got.reasons[2].startswith("row 5: reference 'a' comes back, it was there from row 2")


def test_jobs_tell_cases_of_one_reference_apart_and_rise(read):
    def lines(*jobs):
        head = "job,reference,family,row,complaint\n"
        return (head + "".join(f"{job},{ref},x,complaint,{c}\n" for job, ref, c in jobs)).encode()

    got = read(a_csv=lines((1, "a", "p"), (1, "", "q"), (2, "a", "p"), (3, "", "p")))
    assert got.jobs == [
        {"case": {"family": "x", "reference": "a", "complaints": ["p", "q"]}},
        {"case": {"family": "x", "reference": "a", "complaints": ["p"]}},
        {"case": {"family": "x", "complaints": ["p"]}},
    ]  # fmt: skip
    got = read(b_csv=lines((7, "a", "p"), (3, "b", "p"), (8, "c", "p"), (8, "d", "q"), (9, "e", "p"), ("x", "e", "q")))
    assert got.reasons[0] is None
    assert got.reasons[1].startswith("row 3: job 3 comes after job 7 (row 2)")
    assert got.reasons[2] == "row 5: reference is 'd', and 'c' before, in the same job"
    assert got.reasons[3] == "row 7: column job: must be a number, not 'x'"
    assert len(got.reasons) == 4


def test_what_there_is_once_is_there_once(read):
    head = "reference,family,row,option,choice,day,member,json\n"
    rows = ("a,x,option,fuel,gas,,,", "a,x,option,fuel,oil,,,", "b,x,case,,,2026-01-01,,", "b,x,case,,,2026-01-02,,",
            "c,x,other,,,,case,{}", "d,x,other,,,,p,{", "e,x,case,,,,,", "e,y,case,,,,,")  # fmt: skip
    got = read(a_csv=(head + "\n".join(rows)).encode())
    assert got.reasons == [
        "row 3: column option: 'fuel' is there twice", "row 5: a second row 'case' of the case; the first is row 4",
        "row 6: column member: 'case' has rows of its own",
        "row 7: column json: is not JSON (unexpected end of data)",
        "row 9: family is 'y', and 'x' in row 8",
    ]  # fmt: skip


def test_a_case_without_a_family_is_told(read):
    assert read(a_csv=b"reference,row,complaint\na,complaint,c\n").reasons == ["no row gives the family"]


def test_a_column_that_is_unknown_spoils_the_cases_that_use_it(read):
    got = read(a_csv=b"reference,family,row,complaint,complaints\na,x,complaint,c,\nb,x,complaint,,c\n")
    assert got.reasons[0] is None
    assert got.reasons[1].startswith("row 3: column complaints: there is no such column; did you mean 'complaint'?")


def test_more_rows_than_a_case_can_have_are_not_kept(read):
    got = read(a_csv=table(*[GOOD[0]] * (MOST_ROWS + 500), LAST))
    assert got.reasons == [f"row {MOST_ROWS + 2}: a case has at most {MOST_ROWS} rows", None]


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"a,b\n1,2\n", "no header of a table of cases"), (b"row,family\nreading,x\n", "neither a column reference"),
     (b"row,reference,row\n", "the column 'row' is there twice"), (b"x" * 1001, "line 1 is longer"),
     (b'"row,reference\n', "no header"), (b"row,reference\r1,2\r", "carriage returns alone")],
)  # fmt: skip
def test_a_file_that_is_no_table_is_refused_by_name(read, refusal, content, told):
    said = refusal(lambda: read(a_csv=content))
    assert "a.csv" in said
    assert told in said


def test_a_table_of_a_header_alone_has_no_cases(read):
    assert read(a_csv=HEAD.encode()).items == []


def write_parquet(path, **columns):
    pyarrow.parquet.write_table(pyarrow.table(columns), path)


def test_parquet_of_other_types_is_read_where_they_say_the_same(tmp_path):
    path = tmp_path / "a.parquet"
    write_parquet(
        path, reference=pyarrow.array(["a", "b"]).dictionary_encode(),
        family=pyarrow.array(["x", "x"], pyarrow.large_string()),
        row=["reading", "reading"], test=["t", "t"], unit=["A", "A"], day=[datetime(2026, 3, 1), None],
        value=pyarrow.array([Decimal("2.60"), None]),
        values=pyarrow.array([None, [2, 3]], pyarrow.list_(pyarrow.int8())),
        seen=pyarrow.nulls(2),
    )  # fmt: skip
    got = [item.job for item in open_jobs([str(path)])]
    assert got == [
        b'{"case":{"family":"x","reference":"a","readings":[{"test":"t","unit":"A","day":"2026-03-01","value":2.6}]}}',
        b'{"case":{"family":"x","reference":"b","readings":[{"test":"t","unit":"A","values":[2.0,3.0]}]}}',
    ]  # fmt: skip
    write_parquet(path, reference=["a"], family=["x"], row=["case"], day=[date(2026, 3, 1)])
    (item,) = open_jobs([str(path)])
    assert item.job == b'{"case":{"family":"x","reference":"a","day":"2026-03-01"}}'


def test_a_bad_cell_of_parquet_spoils_its_case_alone(tmp_path):
    path = tmp_path / "a.parquet"
    write_parquet(
        path, reference=["a", "b", "c", "d"], family=["x"] * 4, row=["reading"] * 4, test=["t"] * 4, unit=["A"] * 4,
        value=["2.6", None, None, None], values=[None, [1.0, float("nan")], None, [1.0]],
        colour=[None, None, "red", None],
    )  # fmt: skip
    assert [item.reason for item in open_jobs([str(path)])] == [
        "row 1: column value: must be a number, not '2.6'", "row 2: column values: must be a number, not nan",
        "row 3: column colour: there is no such column", None,
    ]  # fmt: skip


def test_broken_parquet_is_refused_by_name(tmp_path, refusal):
    path = tmp_path / "a.parquet"
    write_parquet(path, reference=["a"] * 5000, row=["reading"] * 5000, test=[f"t{n}" for n in range(5000)])
    whole = path.read_bytes()
    for content in (b"", b"PAR1", whole[:-4], whole[:-1], whole[len(whole) // 2 :], b"x" * 1000):
        path.write_bytes(content)
        assert "a.parquet" in refusal(lambda: list(open_jobs([str(path)])))
    write_parquet(path, a=[1])
    assert "no table of cases" in refusal(lambda: list(open_jobs([str(path)])))


def test_without_pyarrow_one_line_names_what_to_install(tmp_path, refusal, monkeypatch):
    path = tmp_path / "a.parquet"
    write_parquet(path, reference=["a"], row=["case"])
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert refusal(lambda: open_jobs([str(path)])) == "Parquet needs pyarrow: pip install 'probewright[parquet]'"


def test_what_was_seen_is_remembered_through_growth():
    seen = Seen()
    assert [seen.earlier(f"job {n}", n) for n in range(5000)] == [None] * 5000
    assert [seen.earlier(f"job {n}", 9) for n in range(5000)] == list(range(5000))
