"""What must hold of counts and numbers whatever is recorded, in whatever order."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from findings import queries
from findings.calculations.impact_minimum import METHOD, joined
from findings.models import Finding
from findings.rules import CountKind
from findings.words.counting import (
    CountedInjury,
    counts_among,
    counts_of,
    impacts_total,
    least_of,
)
from tests.findings.builders import make_examination, make_finding, void_finding

COUNTED = st.builds(
    CountedInjury,
    st.sampled_from([CountKind.AT_LEAST.value, CountKind.EXACTLY.value]),
    st.integers(1, 9),
    st.sampled_from(["", "", "A", "B", "C"]),
)
UNSAID = st.builds(
    CountedInjury,
    st.just(CountKind.CANNOT_SAY.value),
    st.none(),
    st.sampled_from(["", "A"]),
)
FINDINGS = st.lists(st.one_of(COUNTED, UNSAID), max_size=25)
MARKS = st.lists(st.sampled_from("abcdefghij"), unique=True, min_size=1)


def sums_by_group(findings):
    alone = [one.impacts for one in findings if one.impacts and not one.group]
    groups = {}
    for one in findings:
        if one.impacts and one.group:
            groups.setdefault(one.group, []).append(one.impacts)
    return alone, groups


@given(FINDINGS)
def test_the_total_is_never_more_than_what_was_counted(findings):
    assert impacts_total(findings).number <= sum(one.impacts or 0 for one in findings)


@given(FINDINGS)
def test_the_total_is_never_less_than_the_largest_count_of_any_group(findings):
    alone, groups = sums_by_group(findings)
    largest = max([*alone, *(max(counts) for counts in groups.values())], default=0)
    assert impacts_total(findings).number >= largest


@given(FINDINGS.flatmap(lambda rows: st.tuples(st.just(rows), st.permutations(rows))))
def test_the_order_of_findings_does_not_matter(pair):
    rows, shuffled = pair
    assert impacts_total(rows) == impacts_total(shuffled)


@given(FINDINGS, COUNTED)
def test_one_more_finding_never_lowers_the_total(findings, more):
    assert impacts_total([*findings, more]).number >= impacts_total(findings).number


@given(FINDINGS)
def test_joining_two_groups_never_raises_the_total(findings):
    joined = [
        CountedInjury(one.impacts_kind, one.impacts, "A" if one.group == "B" else one.group)
        for one in findings
    ]
    assert impacts_total(joined).number <= impacts_total(findings).number


@given(FINDINGS)
def test_a_total_is_exact_only_where_every_number_is_and_no_impact_is_shared(findings):
    total = impacts_total(findings)
    groups = [one.group for one in findings if one.group and one.impacts]
    sure = all(one.impacts_kind == "exactly" for one in findings)
    shared = len(groups) != len(set(groups))
    assert total.words.startswith("exactly ") == (bool(findings) and sure and not shared)


@given(st.lists(st.sampled_from(["", "A", "B", "C"]), max_size=12))
def test_single_impacts_add_up_to_the_number_of_joined_groups(groups):
    # The method counts groups of marks that one blow could have left; with one impact a finding,
    # both have to agree.
    names = [str(i) for i in range(len(groups))]
    links = [
        [name for name, group in zip(names, groups, strict=True) if group == letter]
        for letter in {group for group in groups if group}
    ]
    total = impacts_total(CountedInjury("at least", 1, group) for group in groups)
    assert total.number == len(joined(names, links))


@given(
    MARKS.flatmap(
        lambda marks: st.tuples(
            st.just(marks),
            st.permutations(marks),
            st.lists(st.lists(st.sampled_from(marks), min_size=2, max_size=4), max_size=5),
        )
    )
)
def test_groups_of_overlapping_marks_are_counted_once_in_any_order(drawn):
    marks, shuffled, links = drawn
    one = METHOD.run({"marks": marks, "overlapping": links}).outcome.fields
    other = METHOD.run({"marks": shuffled, "overlapping": links[::-1]}).outcome.fields
    assert one["at_least"] == other["at_least"]
    assert 1 <= one["at_least"] <= len(marks)
    # The groups part the marks: none is left out and none is counted twice.
    assert sorted(mark for group in one["groups"] for mark in group) == sorted(marks)
    assert {frozenset(group) for group in one["groups"]} == {
        frozenset(group) for group in other["groups"]
    }


@pytest.mark.django_db
@given(st.lists(st.one_of(st.none(), st.integers(0, 9)), min_size=1, max_size=8))
@settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_a_number_stays_with_its_finding_and_is_never_used_again(acts):
    """None records a finding; a number voids one of those that stand."""
    examination = make_examination()
    given_numbers: dict[object, int] = {}
    for act in acts:
        standing = queries.findings_of(examination.case)
        if act is None or not standing:
            finding = make_finding(examination)
            assert finding.number not in given_numbers.values()
            given_numbers[finding.pk] = finding.number
        else:
            chosen = standing[act % len(standing)]
            void_finding(chosen, version=chosen.version)
    kept = dict(Finding.objects.filter(case=examination.case).values_list("pk", "number"))
    assert kept == given_numbers
    assert sorted(kept.values()) == list(range(1, len(kept) + 1))


WOUNDS = st.builds(
    CountedInjury,
    st.sampled_from(["", CountKind.AT_LEAST.value]),
    st.just(None) | st.integers(1, 4),
    st.just(""),
    st.sampled_from(["Gunshot wound", "Gunshot wound of entrance", "Stab wounds", "Fracture"]),
    st.sampled_from(["", "Firearm"]),
    st.frozensets(st.sampled_from(["entrance", "exit", "recovered"])),
    st.integers(0, 2),
)
SHOWN = st.lists(st.one_of(COUNTED, UNSAID, WOUNDS), max_size=14).flatmap(
    lambda rows: st.tuples(
        st.just(dict(enumerate(rows))), st.sets(st.integers(0, 13)), st.sets(st.integers(0, 13))
    )
)


def least_numbers(counts):
    """Impacts, other impacts, sharp and firearm wounds, each as the smallest number."""
    wounds = (sum(one.number for one in of.values()) for of in (counts.sharp, counts.firearm))
    return [counts.impacts.number, counts.other_impacts.number, *wounds]


@given(SHOWN)
def test_a_picture_never_counts_more_than_its_region_or_the_case(drawn):
    injuries, some, more = drawn
    picture = least_numbers(counts_among(injuries, some))
    region = least_numbers(counts_among(injuries, some | more))
    whole = least_numbers(counts_of(injuries.values()))
    assert all(a <= b <= c for a, b, c in zip(picture, region, whole, strict=True))


@given(SHOWN)
def test_pictures_together_count_a_shared_group_once(drawn):
    injuries, one, other = drawn
    together = least_numbers(counts_among(injuries, one | other))
    apart = zip(
        least_numbers(counts_among(injuries, one)),
        least_numbers(counts_among(injuries, other)),
        strict=True,
    )
    assert all(whole <= a + b for whole, (a, b) in zip(together, apart, strict=True))


@given(SHOWN)
def test_what_is_said_of_a_minimum_is_never_an_exact_number_of_impacts(drawn):
    injuries, some, _ = drawn
    counts = counts_among(injuries, some)
    least = least_of(counts)
    assert "exactly" not in least.words and least.blunt == counts.impacts.number
    assert ("there may have been more" in least.words) is least.more
    if least.blunt:
        assert f"at least {least.blunt} blunt impact" in least.words
