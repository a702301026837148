/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "plan/findings.h"

static earshot_findings findings;
static es_report report;
static es_source source;
static es_sources sources = {.item = &source, .n = 1};

static void start(const char *text)
{
    source = (es_source){.name = "fernhollow.plan", .text = text, .size = strlen(text)};
    es_report_start(&report, &findings, &sources);
}

static earshot_place at(unsigned line, unsigned column, unsigned width)
{
    return (earshot_place){0, line, column, width};
}

static void a_mistake_has_its_line_and_caret(void **state)
{
    (void)state;
    start("plan 1\nwall\tstod 0,0 1,1\nlast");
    earshot_error *e = es_mistake(&report, EARSHOT_PLAN_INVALID, at(2, 6, 4), "unknown material '%s'", "stod");
    es_hint(e, "did you mean '%s'?", "stud");
    assert_int_equal(findings.n_mistakes, 1);
    assert_string_equal(e->file, "fernhollow.plan");
    assert_string_equal(e->message, "unknown material 'stod'");
    assert_string_equal(e->hint, "did you mean 'stud'?");
    assert_string_equal(e->excerpt, "wall stod 0,0 1,1");
    assert_int_equal(e->caret, 6);
    assert_int_equal(e->width, 4);
    assert_int_equal(e->status, EARSHOT_PLAN_INVALID);
}

static void without_a_place_there_is_no_excerpt(void **state)
{
    (void)state;
    start("plan 1\n");
    const earshot_error *e = es_warning(&report, at(0, 0, 0), "no band");
    assert_string_equal(e->excerpt, "");
    assert_int_equal(e->caret, 0);
    assert_int_equal(e->status, EARSHOT_OK);
    e = es_warning(&report, (earshot_place){7, 1, 1, 1}, "no such file");
    assert_string_equal(e->file, "");
}

static void long_lines_are_cut_around_the_place(void **state)
{
    (void)state;
    char text[3001];
    memset(text, 'a', 3000);
    text[3000] = '\0';
    memcpy(text + 2000, "HERE", 4);
    start(text);
    const earshot_error *e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 2001, 4), "x");
    assert_true(strlen(e->excerpt) < sizeof e->excerpt);
    assert_memory_equal(e->excerpt, "...", 3);
    assert_memory_equal(e->excerpt + e->caret - 1, "HERE", 4);
    assert_string_equal(e->excerpt + strlen(e->excerpt) - 3, "...");
    e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 50, 2900), "x");
    assert_int_equal(e->caret, 50);
    assert_true(e->caret + e->width <= strlen(e->excerpt) + 1);
    e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 3001, 1), "just behind the end");
    assert_int_equal(e->caret, strlen(e->excerpt) + 1);
}

static void columns_are_characters(void **state)
{
    (void)state;
    start("site \"K\xC3\xBC"
          "che\" x");
    const earshot_error *e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 14, 1), "x");
    assert_int_equal(e->caret, 14);
    assert_int_equal(es_utf8_count(e->excerpt, strlen(e->excerpt)), 14);
}

static void what_a_terminal_would_act_on_is_not_shown(void **state)
{
    (void)state;
    char shown[ES_SHOWN];
    start("a\x1B[31m\x7F\xFFz\xC2\x9B");
    const earshot_error *e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 1, 1), "x");
    assert_string_equal(e->excerpt, "a?[31m??z?");
    assert_string_equal(es_show(shown, "b\r\n\tc", 5), "b?? c");
}

static void long_texts_are_shown_short_and_whole(void **state)
{
    (void)state;
    char text[400], shown[ES_SHOWN];
    for (size_t i = 0; i < sizeof text; i += 2) memcpy(text + i, "\xC3\xBC", 2);
    es_show(shown, text, sizeof text);
    assert_true(strlen(shown) < ES_SHOWN);
    assert_string_equal(shown + strlen(shown) - 3, "...");
    assert_int_equal((strlen(shown) - 3) % 2, 0);
    start("x");
    const earshot_error *e = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 1, 1), "%.*s", 400, text);
    assert_int_equal(strlen(e->message) % 2, 0); /* no half character at the end */
    assert_true(strlen(e->message) > 200);
}

static void twenty_are_kept_and_all_are_counted(void **state)
{
    (void)state;
    start("x");
    for (unsigned i = 0; i < EARSHOT_MAX_FINDINGS; i++) {
        assert_false(es_report_full(&report));
        assert_non_null(es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 1, 1), "%u", i));
    }
    assert_true(es_report_full(&report));
    earshot_error *none = es_mistake(&report, EARSHOT_PLAN_SYNTAX, at(1, 1, 1), "x");
    assert_null(none);
    es_hint(none, "nobody sees this");
    assert_int_equal(findings.n_mistakes, 21);
    for (int i = 0; i < 23; i++) es_warning(&report, at(1, 1, 1), "x");
    assert_int_equal(findings.n_warnings, 23);
    es_report_sort(&report);
}

static void they_are_put_in_the_order_of_the_text(void **state)
{
    (void)state;
    static const unsigned PLACES[][3] = {{1, 2, 1}, {0, 9, 3}, {0, 2, 7}, {0, 9, 1}, {0, 2, 7}, {0, 0, 0}};
    start("x");
    for (unsigned i = 0; i < 6; i++) {
        const earshot_place p = {PLACES[i][0], PLACES[i][1], PLACES[i][2], 1};
        es_mistake(&report, EARSHOT_PLAN_SYNTAX, p, "%u", i);
    }
    es_report_sort(&report);
    static const char *const ORDER[] = {"5", "2", "4", "3", "1", "0"};
    for (size_t i = 0; i < 6; i++) assert_string_equal(findings.mistake[i].message, ORDER[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mistake_has_its_line_and_caret),
        cmocka_unit_test(without_a_place_there_is_no_excerpt),
        cmocka_unit_test(long_lines_are_cut_around_the_place),
        cmocka_unit_test(columns_are_characters),
        cmocka_unit_test(what_a_terminal_would_act_on_is_not_shown),
        cmocka_unit_test(long_texts_are_shown_short_and_whole),
        cmocka_unit_test(twenty_are_kept_and_all_are_counted),
        cmocka_unit_test(they_are_put_in_the_order_of_the_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
