/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The COST 231 floor term and the weights made of it. */
#include "support/check.h"

#include "propagation/model.h"

static void none_one_and_two_floors(void **state)
{
    (void)state;
    check_close(es_floor_factor(0), 0.0, 0.0, "");
    check_close(es_floor_factor(1), 1.0, 0.0, "");
    check_close(es_floor_factor(2), pow(2.0, 4.0 / 3.0 - 0.46), 1e-15, "");
}

static void equal_floors_add_up_to_the_factor(void **state)
{
    (void)state;
    double sum = 0.0;
    for (size_t k = 1; k <= 60; k++) {
        sum += es_floor_weight(k - 1);
        check_close(sum, es_floor_factor(k), 1e-12, "");
    }
}

/* What makes "a further floor never helps" true whatever the floors are made of. */
static void weights_fall_and_stay_positive(void **state)
{
    (void)state;
    check_close(es_floor_weight(0), 1.0, 0.0, "");
    for (size_t i = 1; i < 200; i++) {
        assert_true(es_floor_weight(i) < es_floor_weight(i - 1));
        assert_true(es_floor_weight(i) > 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(none_one_and_two_floors),
        cmocka_unit_test(equal_floors_add_up_to_the_factor),
        cmocka_unit_test(weights_fall_and_stay_positive),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
