/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>

#include "earshot/present.h"

static const earshot_look PLAIN = {false, 80};

static void expect(const earshot_error *error, bool warning, const char *wanted)
{
    earshot_text text = {0};
    earshot_present_error(error, warning, &PLAIN, &text);
    assert_string_equal(text.data, wanted);
    earshot_text_clear(&text);
}

static void shows_place_line_mark_and_hint(void **state)
{
    (void)state;
    const earshot_error error = {.status = EARSHOT_PLAN_INVALID,
                                 .line = 23,
                                 .column = 6,
                                 .width = 11,
                                 .file = "honey.plan",
                                 .message = "unknown material 'brick-cavty'",
                                 .hint = "did you mean 'brick-cavity'?",
                                 .excerpt = "wall brick-cavty 0,0 14.2,0",
                                 .caret = 6};
    expect(&error, false,
           "honey.plan:23:6: unknown material 'brick-cavty'\n"
           "    wall brick-cavty 0,0 14.2,0\n"
           "         ^~~~~~~~~~~\n"
           "    did you mean 'brick-cavity'?\n");
    expect(&error, true,
           "honey.plan:23:6: warning: unknown material 'brick-cavty'\n"
           "    wall brick-cavty 0,0 14.2,0\n"
           "         ^~~~~~~~~~~\n"
           "    did you mean 'brick-cavity'?\n");
}

static void mark_stands_below_after_tabs_and_letters_of_two_bytes(void **state)
{
    (void)state;
    const earshot_error error = {
        .line = 3, .column = 8, .width = 2, .file = "a", .message = "m", .excerpt = "\tT\xc3\xbcr \tab", .caret = 7};
    expect(&error, false, "a:3:8: m\n    \tT\xc3\xbcr \tab\n    \t    \t^~\n");
}

static void mark_ends_with_the_line(void **state)
{
    (void)state;
    const earshot_error error = {
        .line = 3, .column = 2, .width = 50, .file = "a", .message = "m", .excerpt = "abcd", .caret = 3};
    expect(&error, false, "a:3:2: m\n    abcd\n      ^~\n");
}

static void a_mistake_without_a_place_is_one_line(void **state)
{
    (void)state;
    const earshot_error bare = {.status = EARSHOT_MEMORY};
    const earshot_error file = {.file = "b.plan", .message = "cannot open"};
    expect(&bare, false, "out of memory\n");
    expect(&file, false, "b.plan: cannot open\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_place_line_mark_and_hint),
        cmocka_unit_test(mark_stands_below_after_tabs_and_letters_of_two_bytes),
        cmocka_unit_test(mark_ends_with_the_line),
        cmocka_unit_test(a_mistake_without_a_place_is_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
