/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "earshot/earshot.h"

static void it_says_that_it_cannot_draw(void **state)
{
    (void)state;
    earshot_text out = {0};
    const earshot_report_request request = {.n_checks = 1};
    const earshot_picture_look look = {.format = EARSHOT_PICTURE_PNG};
    assert_false(earshot_pictures_built_in());
    assert_int_equal(earshot_picture_map(NULL, NULL, 1, &look, &out), EARSHOT_NOT_BUILT_IN);
    assert_int_equal(earshot_picture_explanation(NULL, 0, &look, &out), EARSHOT_NOT_BUILT_IN);
    assert_int_equal(earshot_report_write(&request, NULL, &out), EARSHOT_NOT_BUILT_IN);
    assert_int_equal(out.size, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(it_says_that_it_cannot_draw)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
