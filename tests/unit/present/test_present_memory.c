/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every writer with the first, second, third ... allocation failing: it must say so, and neither crash nor leak. */
#include "support/check.h"

#include <jansson.h>
#include <stdlib.h>

#include "present/sample.h"
#include "support/nomem.h"

static const earshot_look LOOK = {true, 80};
static double margin[200], dependable[200];

typedef earshot_status writer(const sample *s, earshot_text *text);

static earshot_status write_check(const sample *s, earshot_text *text)
{
    earshot_present_check(&s->check, &LOOK, text);
    return EARSHOT_OK;
}

static earshot_status write_comparison(const sample *s, earshot_text *text)
{
    const earshot_check two[] = {s->check, s->check};
    earshot_present_comparison(two, 2, &LOOK, text);
    earshot_present_cautions(&s->plan, &LOOK, text);
    return EARSHOT_OK;
}

static earshot_grid grid_of(void)
{
    for (int i = 0; i < 200; i++) dependable[i] = margin[i] = 0.3 * i - 5.0;
    return (earshot_grid){.x0_m = -0.5,
                          .y0_m = -0.5,
                          .cell_x_m = 0.5,
                          .cell_y_m = 0.5,
                          .rows = 10,
                          .columns = 20,
                          .z_m = 1.5,
                          .margin_db = margin,
                          .dependable_db = dependable};
}

static earshot_status write_map(const sample *s, earshot_text *text)
{
    const earshot_grid grid = grid_of();
    const earshot_map_view view = {.grid = &grid,
                                   .from = earshot_site_receiver_at(s->site, 0),
                                   .from_name = "panel",
                                   .radio = &s->plan.radio[1],
                                   .frequency_hz = 868.3e6,
                                   .check = &s->check};
    earshot_present_map(s->site, &view, &LOOK, text);
    earshot_csv_grid(s->site, &grid, text);
    return EARSHOT_OK;
}

static earshot_status write_explanation(const sample *s, earshot_text *text)
{
    return earshot_present_explanation(&s->check, 1, &LOOK, text);
}

static earshot_status write_materials(const sample *s, earshot_text *text)
{
    earshot_present_materials(s->site, &LOOK, text);
    earshot_csv_materials(s->site, text);
    return EARSHOT_OK;
}

static earshot_status write_csv(const sample *s, earshot_text *text)
{
    earshot_csv_check(&s->check, 1, text);
    return EARSHOT_OK;
}

static earshot_status write_json(const sample *s, earshot_text *text)
{
    return earshot_json_check(&s->check, 1, text);
}

static earshot_status write_error(const sample *s, earshot_text *text)
{
    const earshot_error error = {
        .file = "a", .line = 1, .column = 2, .width = 3, .message = "m", .excerpt = "abc", .caret = 1, .hint = "h"};
    (void)s;
    earshot_present_error(&error, true, &LOOK, text);
    return EARSHOT_OK;
}

static void fails_with(writer *write, void (*let_fail)(long n))
{
    sample s;
    sample_new(&s);
    for (long n = 0;; n++) {
        earshot_text text = {0};
        let_fail(n);
        const earshot_status status = write(&s, &text);
        fail_allocation(-1);
        const bool told = status == EARSHOT_MEMORY || text.failed;
        earshot_text_clear(&text);
        if (allocation_failed() != told) fail_msg("allocation %ld failed, but that was not told", n);
        if (!told) break;
        assert_true(n < 100000);
    }
    sample_free(&s);
}

static void fails_cleanly(writer *write)
{
    fails_with(write, fail_allocation);
    fails_with(write, fail_one_allocation);
}

#define FAILS_CLEANLY(name)                                                                                            \
    static void name##_fails_cleanly(void **state)                                                                     \
    {                                                                                                                  \
        (void)state;                                                                                                   \
        fails_cleanly(write_##name);                                                                                   \
    }

FAILS_CLEANLY(check)
FAILS_CLEANLY(comparison)
FAILS_CLEANLY(map)
FAILS_CLEANLY(explanation)
FAILS_CLEANLY(materials)
FAILS_CLEANLY(csv)
FAILS_CLEANLY(json)
FAILS_CLEANLY(error)

int main(void)
{
    json_set_alloc_funcs(__wrap_malloc, free);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_fails_cleanly),     cmocka_unit_test(comparison_fails_cleanly),
        cmocka_unit_test(map_fails_cleanly),       cmocka_unit_test(explanation_fails_cleanly),
        cmocka_unit_test(materials_fails_cleanly), cmocka_unit_test(csv_fails_cleanly),
        cmocka_unit_test(json_fails_cleanly),      cmocka_unit_test(error_fails_cleanly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
