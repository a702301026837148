/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Too much of anything is a mistake that names the limit, and is found in time. */
#include "support/check.h"

#include <time.h>

#include "base/text.h"
#include "support/plans.h"

static earshot_findings *findings;
static earshot_text text;

static int start(void **state)
{
    (void)state;
    findings = calloc(1, sizeof *findings);
    return findings ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    free(findings);
    return 0;
}

static void begin(void)
{
    earshot_text_clear(&text);
    es_text_add(&text, "plan 1\nband 868.3MHz\nradio r erp=1dBm sensitivity=-99dBm\nstorey g level=0m height=2.5m\n");
}

static earshot_status finish(earshot_plan **plan)
{
    assert_false(text.failed);
    return earshot_plan_read(text.data, text.size, "big.plan", plan, findings);
}

static void fits(void)
{
    earshot_plan *plan;
    const earshot_status status = finish(&plan);
    if (status) print_error("%u: %s\n", findings->mistake[0].line, findings->mistake[0].message);
    assert_int_equal(status, EARSHOT_OK);
    earshot_plan_free(plan);
}

static void is_too_much(const char *message, const char *hint)
{
    earshot_plan *plan;
    assert_int_equal(finish(&plan), EARSHOT_PLAN_LIMIT);
    assert_null(plan);
    assert_int_equal(findings->n_mistakes, 1);
    assert_string_equal(findings->mistake[0].message, message);
    assert_string_equal(findings->mistake[0].hint, hint);
}

static void walls_are_limited_by_piece(void **state)
{
    (void)state;
    begin();
    for (int i = 0; i < 1000; i++) {
        es_text_add(&text, "wall stud");
        for (int j = 0; j <= 100; j++) es_text_format(&text, " %d,%d", 2 * i, 7 * j);
        es_text_add_char(&text, '\n');
    }
    fits();
    es_text_add(&text, "wall stud 9000,0 9000,7\n");
    is_too_much("more than 100000 straight pieces of wall", "a plan has at most 100000 of them");
    earshot_text_clear(&text);
}

static void devices_are_limited(void **state)
{
    (void)state;
    begin();
    for (int i = 0; i < EARSHOT_MAX_DEVICES; i++) es_text_format(&text, "device d%d fob %d,1 at=1m radio=r\n", i, i);
    fits();
    es_text_add(&text, "device more fob 1,1 at=1m radio=r\ndevice too fob 1,1 at=1m radio=r\n");
    is_too_much("more than 10000 devices", "a plan has at most 10000 of them");
    earshot_text_clear(&text);
}

static void storeys_are_limited(void **state)
{
    (void)state;
    begin();
    for (int i = 1; i < EARSHOT_MAX_STOREYS; i++) es_text_format(&text, "storey s%d level=%dm height=2.5m\n", i, 3 * i);
    fits();
    es_text_add(&text, "storey more level=500m height=2m\n");
    is_too_much("more than 64 storeys", "a plan has at most 64 of them");
    earshot_text_clear(&text);
}

static void blocks_and_corners_are_limited(void **state)
{
    (void)state;
    begin();
    for (int i = 0; i < EARSHOT_MAX_THINGS; i++) es_text_format(&text, "block water %d,0 %d,1 %d.5,1\n", i, i, i);
    fits();
    es_text_add(&text, "block water 0,3 1,3 1,4\n");
    is_too_much("more than 10000 blocks", "a plan has at most 10000 of them");
    begin();
    es_text_add(&text, "slab timber-floor");
    for (int i = 0; i < EARSHOT_MAX_CORNERS; i++) {
        es_text_format(&text, " %.6f,%.6f", 90 * cos(i * 0.01256), 90 * sin(i * 0.01256));
    }
    fits();
    es_text_add(&text, " 95,-0.1\n");
    is_too_much("a polygon of 501 corners", "one polygon has at most 500 corners");
    earshot_text_clear(&text);
}

static void text_is_limited(void **state)
{
    (void)state;
    begin();
    while (text.size < EARSHOT_MAX_TEXT) es_text_add(&text, "# nothing in this line\n");
    text.size = EARSHOT_MAX_TEXT;
    fits();
    text.size = EARSHOT_MAX_TEXT + 1;
    is_too_much("'big.plan' is too long", "a plan and the files it uses have at most 16777216 bytes together");
    earshot_text_clear(&text);
}

static void twenty_mistakes_are_shown_and_the_rest_counted(void **state)
{
    (void)state;
    earshot_plan *plan;
    begin();
    for (int i = 0; i < 57; i++) es_text_format(&text, "wal stud %d,0 1,1\n", i);
    assert_int_equal(finish(&plan), EARSHOT_PLAN_SYNTAX);
    assert_int_equal(findings->n_mistakes, 57);
    assert_int_equal(findings->mistake[19].line, 4 + 20);
    begin();
    for (int i = 0; i < 57; i++) es_text_format(&text, "wall stod %d,0 1,1\n", i);
    assert_int_equal(finish(&plan), EARSHOT_PLAN_INVALID);
    assert_true(findings->n_mistakes >= EARSHOT_MAX_FINDINGS);
    assert_int_equal(findings->mistake[19].line, 4 + 20);
    earshot_text_clear(&text);
}

static void binary_is_given_up_soon(void **state)
{
    (void)state;
    earshot_plan *plan;
    static char bytes[100000];
    assert_int_equal(earshot_plan_read(bytes, sizeof bytes, "zeros", &plan, findings), EARSHOT_PLAN_SYNTAX);
    assert_int_equal(findings->n_mistakes, 1);
    assert_string_equal(findings->mistake[0].message, "a byte 0 stands in the text");
    for (size_t i = 0; i < sizeof bytes; i++) bytes[i] = (char)(i * 7919 % 251 + 1);
    assert_int_equal(earshot_plan_read(bytes, sizeof bytes, "noise", &plan, findings), EARSHOT_PLAN_SYNTAX);
}

/* What is checked of each wall must not look at every other wall. The bound is far above what is needed (about a
 * second, ten under the sanitizers) and far below what 10^10 comparisons take. */
static void many_walls_are_checked_in_time(void **state)
{
    (void)state;
    begin();
    for (int i = 0; i < 50000; i++) {
        const int x = i % 224 * 6, y = i / 224 * 6;
        es_text_format(&text, "wall stud %d,%d %d,%d\ndoor %d,%d %d,%d\n", x, y, x + 5, y, x + 1, y, x + 2, y);
    }
    for (int i = 0; i < 9000; i++) {
        es_text_format(&text, "device d%d fob %d,%d at=1m radio=r\nblock metal %d,5 %d,5 %d,6\n", i, i % 1300,
                       i / 7 + 1, -i - 3, -i - 2, -i - 2);
    }
    const clock_t before = clock();
    fits();
    assert_true((double)(clock() - before) / CLOCKS_PER_SEC < 60);
    earshot_text_clear(&text);
}

/* Beyond 20 warnings nothing more is looked for, and a pass over the text is not made for each: that took half a
 * minute. What guards life is told all the same. */
static void walls_drawn_twice_are_warned_of_in_time(void **state)
{
    (void)state;
    begin();
    for (int i = 0; i < 100000; i++) es_text_add(&text, "wall stud 0,0 5.25,0\n");
    es_text_add(&text, "device s smoke 1,1 at=2m radio=r\n");
    const clock_t before = clock();
    fits();
    assert_true((double)(clock() - before) / CLOCKS_PER_SEC < 10);
    assert_int_equal(findings->n_warnings, EARSHOT_MAX_FINDINGS + 1);
    bool told = false;
    for (size_t i = 0; i < EARSHOT_MAX_FINDINGS; i++)
        told |= strstr(findings->warning[i].message, "guards life") != NULL;
    assert_true(told);
    earshot_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(walls_are_limited_by_piece),
        cmocka_unit_test(devices_are_limited),
        cmocka_unit_test(storeys_are_limited),
        cmocka_unit_test(blocks_and_corners_are_limited),
        cmocka_unit_test(text_is_limited),
        cmocka_unit_test(twenty_mistakes_are_shown_and_the_rest_counted),
        cmocka_unit_test(binary_is_given_up_soon),
        cmocka_unit_test(many_walls_are_checked_in_time),
        cmocka_unit_test(walls_drawn_twice_are_warned_of_in_time),
    };
    return cmocka_run_group_tests(tests, start, end);
}
