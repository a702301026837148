/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/error.h"
#include "earshot/version.h"

static const earshot_status ALL[] = {EARSHOT_OK,           EARSHOT_PLAN_SYNTAX, EARSHOT_PLAN_INVALID,
                                     EARSHOT_PLAN_LIMIT,   EARSHOT_READINGS,    EARSHOT_FILE_READ,
                                     EARSHOT_FILE_WRITE,   EARSHOT_ARGUMENT,    EARSHOT_NO_SUCH_NAME,
                                     EARSHOT_NOT_BUILT_IN, EARSHOT_MEMORY,      EARSHOT_INTERNAL};
enum { N_ALL = sizeof ALL / sizeof ALL[0] };

static void every_status_has_its_own_text(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_ALL; i++) {
        assert_true(strlen(earshot_status_text(ALL[i])) > 1);
        assert_string_not_equal(earshot_status_text(ALL[i]), "unknown status");
        for (size_t j = 0; j < i; j++) {
            assert_string_not_equal(earshot_status_text(ALL[i]), earshot_status_text(ALL[j]));
        }
    }
    assert_string_equal(earshot_status_text((earshot_status)77), "unknown status");
}

static void failing_fills_the_error_and_gives_the_status(void **state)
{
    (void)state;
    earshot_error error;
    memset(&error, 0xAB, sizeof error);
    assert_int_equal(es_fail(&error, EARSHOT_NO_SUCH_NAME, "look again", "no device '%s'", "pir"), 401);
    assert_int_equal(error.status, EARSHOT_NO_SUCH_NAME);
    assert_string_equal(error.message, "no device 'pir'");
    assert_string_equal(error.hint, "look again");
    assert_string_equal(error.file, "");
    assert_int_equal(error.line, 0);
    es_fail(&error, EARSHOT_ARGUMENT, NULL, "%.1f", 2.385);
    assert_string_equal(error.message, "2.4");
    assert_string_equal(error.hint, "");
    assert_int_equal(es_fail(NULL, EARSHOT_MEMORY, NULL, "x"), EARSHOT_MEMORY);
}

static void long_messages_are_cut(void **state)
{
    (void)state;
    earshot_error error;
    char text[1000];
    memset(text, 'a', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    es_fail(&error, EARSHOT_ARGUMENT, text, "%s", text);
    assert_int_equal(strlen(error.message), sizeof error.message - 1);
    assert_int_equal(strlen(error.hint), sizeof error.hint - 1);
}

static void version_is_three_numbers(void **state)
{
    (void)state;
    unsigned dots = 0;
    for (const char *c = earshot_version(); *c; c++) dots += *c == '.';
    assert_int_equal(dots, 2);
    assert_string_equal(earshot_version(), EARSHOT_VERSION);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_its_own_text),
        cmocka_unit_test(failing_fills_the_error_and_gives_the_status),
        cmocka_unit_test(long_messages_are_cut),
        cmocka_unit_test(version_is_three_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
