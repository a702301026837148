/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Free-space loss against ITU-R P.525: 20 log10(4 pi d / lambda) with c = 299 792 458 m/s, worked to 0.01 dB, and its
 * practical form 32.45 + 20 log10(f in MHz) + 20 log10(d in km). Both forms are quoted from memory of the
 * Recommendation; the second is also used in public programs for path loss. */
#include "support/check.h"

#include "earshot/propagation.h"

static const double F433 = 433.92e6, F868 = 868.30e6;

static void worked_numbers(void **state)
{
    (void)state;
    static const struct {
        double frequency_hz, distance_m, loss_db;
    } worked[] = {{433.92e6, 1.0, 25.20}, {433.92e6, 10.0, 45.20}, {433.92e6, 100.0, 65.20},
                  {868.30e6, 1.0, 31.22}, {868.30e6, 10.0, 51.22}, {868.30e6, 100.0, 71.22}};
    for (size_t i = 0; i < sizeof worked / sizeof worked[0]; i++)
        check_close(earshot_free_space_db(worked[i].distance_m, worked[i].frequency_hz), worked[i].loss_db, 0.00501,
                    "dB");
}

static void practical_form(void **state)
{
    (void)state;
    for (double distance_m = 0.37; distance_m < 5000.0; distance_m *= 2.385) {
        const double in_km_db = 20.0 * log10(distance_m / 1000.0);
        check_close(earshot_free_space_db(distance_m, F433), 32.45 + 20.0 * log10(433.92) + in_km_db, 0.003, "dB");
        check_close(earshot_free_space_db(distance_m, F868), 32.45 + 20.0 * log10(868.30) + in_km_db, 0.003, "dB");
    }
}

static void twice_as_far_or_twice_as_high_costs_6_02_db(void **state)
{
    (void)state;
    const double doubled_db = 20.0 * log10(2.0), base_db = earshot_free_space_db(7.31, F868);
    check_close(earshot_free_space_db(14.62, F868) - base_db, doubled_db, 1e-12, "dB");
    check_close(earshot_free_space_db(7.31, 2.0 * F868) - base_db, doubled_db, 1e-12, "dB");
}

static void out_of_range_is_no_number(void **state)
{
    (void)state;
    const double bad[] = {0.0, -1.0, NAN, INFINITY};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_true(isnan(earshot_free_space_db(bad[i], F868)));
        assert_true(isnan(earshot_free_space_db(7.31, bad[i])));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_numbers),
        cmocka_unit_test(practical_form),
        cmocka_unit_test(twice_as_far_or_twice_as_high_costs_6_02_db),
        cmocka_unit_test(out_of_range_is_no_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
