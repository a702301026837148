/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Unslotted ALOHA against its textbook maximum, a simulated channel, and the sub-bands as published. */
#include "support/check.h"

#include <stdlib.h>

#include "link/occupancy.h"

static void test_maximum_is_one_over_two_e(void **state)
{
    (void)state;
    check_close(es_aloha_throughput(0.5), 1.0 / (2.0 * exp(1.0)), 1e-15, "");
    for (double g = 0.0; g < 3.0; g += 0.0137) assert_true(es_aloha_throughput(g) <= es_aloha_throughput(0.5));
    check_close(es_aloha_throughput(0.0), 0.0, 0.0, "");
    assert_true(isnan(es_aloha_throughput(-0.1)));
}

/* Many equal senders are ALOHA: a message survives with e^-2G. */
static void test_many_equal_senders_are_aloha(void **state)
{
    (void)state;
    enum { N = 20000 };
    es_sender *sender = malloc(N * sizeof *sender);
    assert_non_null(sender);
    for (size_t i = 0; i < N; i++) sender[i] = (es_sender){2.385, 0.0377}; /* offered: 0.49952 */
    es_occupancy o;
    assert_true(es_occupancy_of(sender, N, &o));
    check_close(o.offered, N * 2.385 * 0.0377 / 3600.0, 1e-9, "");
    check_close(o.collision, 1.0 - exp(-2.0 * o.offered), 5e-5, "");
    check_close(o.throughput, o.offered * (1.0 - o.collision), 5e-5, "");
    free(sender);
}

/* --- three unlike senders on a simulated channel -------------------------------------------------------------------
 */

enum { SENDERS = 3, MESSAGES = 400000 };

typedef struct message {
    double from_s, to_s;
    size_t sender;
} message;

static double uniform(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u; /* Knuth's MMIX constants, from memory */
    return ((double)(*state >> 11) + 0.5) / 9007199254740992.0;
}

static int by_start(const void *a, const void *b)
{
    const message *one = a, *two = b;
    return (one->from_s > two->from_s) - (one->from_s < two->from_s);
}

static void test_unlike_senders_as_simulated(void **state)
{
    (void)state;
    static const es_sender SENDER[SENDERS] = {{900.0, 0.11}, {300.0, 0.47}, {1700.0, 0.035}};
    message *m = malloc(MESSAGES * sizeof *m);
    assert_non_null(m);
    uint64_t random = 4711;
    const double rate = (900.0 + 300.0 + 1700.0) / 3600.0;
    double now = 0.0;
    for (size_t i = 0; i < MESSAGES; i++) {
        now -= log(uniform(&random)) / rate;
        const double pick = uniform(&random) * 2900.0;
        const size_t who = pick < 900.0 ? 0 : pick < 1200.0 ? 1 : 2;
        m[i] = (message){now, now + SENDER[who].airtime_s, who};
    }
    qsort(m, MESSAGES, sizeof *m, by_start);
    size_t sent[SENDERS] = {0}, hit[SENDERS] = {0};
    for (size_t i = 100; i + 100 < MESSAGES; i++) {
        bool collides = false;
        for (size_t k = i - 100; k < i + 100; k++)
            collides = collides || (m[k].sender != m[i].sender && m[k].from_s < m[i].to_s && m[k].to_s > m[i].from_s);
        sent[m[i].sender]++;
        hit[m[i].sender] += collides;
    }
    es_occupancy o;
    assert_true(es_occupancy_of(SENDER, SENDERS, &o));
    check_close(o.collision, (double)(hit[0] + hit[1] + hit[2]) / (double)(sent[0] + sent[1] + sent[2]), 0.003, "");
    check_close(o.worst_collision, (double)hit[1] / (double)sent[1], 0.01, "");
    assert_int_equal(o.worst_sender, 1);
    assert_int_equal(o.busiest_sender, 1);
    check_close(o.busiest_duty, 300.0 * 0.47 / 3600.0, 1e-12, "");
    free(m);
}

static void test_a_lone_sender_meets_nobody(void **state)
{
    (void)state;
    const es_sender lone = {120.0, 0.25};
    es_occupancy o;
    assert_true(es_occupancy_of(&lone, 1, &o));
    check_close(o.collision, 0.0, 0.0, "");
    check_close(o.busiest_duty, 120.0 * 0.25 / 3600.0, 1e-15, "");
}

static void test_refuses_what_cannot_be(void **state)
{
    (void)state;
    static const es_sender BAD[] = {{NAN, 0.1}, {-1.0, 0.1}, {10.0, NAN}, {10.0, -0.1}, {10.0, 4000.0}, {3601.0, 1.0}};
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        es_occupancy o = {.offered = 0.123};
        assert_false(es_occupancy_of(&BAD[i], 1, &o));
        check_close(o.offered, 0.123, 0.0, "");
    }
}

static void check_rule(double mhz, double erp_dbm, double duty)
{
    const es_subband *s = es_subband_for(mhz * 1e6, erp_dbm);
    assert_non_null(s);
    check_close(s->duty, duty, 0.0, "");
}

/* ERC/REC 70-03 annexes 1 and 7, as published on line. */
static void test_sub_bands(void **state)
{
    (void)state;
    check_rule(433.92, 10.0, 0.10);
    check_rule(433.92, 0.0, 1.0);
    check_rule(434.42, 10.0, 1.0);
    check_rule(868.30, 14.0, 0.01);
    check_rule(868.65, 10.0, 0.01);
    check_rule(868.95, 14.0, 0.001);
    check_rule(869.27, 10.0, 0.001);
    check_rule(869.35, 10.0, 0.01);
    check_rule(869.525, 27.0, 0.10);
    check_rule(869.67, 14.0, 0.10);
    check_rule(869.85, 7.0, 1.0);
    check_rule(869.85, 14.0, 0.01);
    assert_null(es_subband_for(868.30e6, 14.5));
    assert_null(es_subband_for(869.22e6, 10.0)); /* social alarms only */
    assert_null(es_subband_for(870.5e6, 0.0));
    assert_null(es_subband_for(NAN, 0.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_maximum_is_one_over_two_e),   cmocka_unit_test(test_many_equal_senders_are_aloha),
        cmocka_unit_test(test_unlike_senders_as_simulated), cmocka_unit_test(test_a_lone_sender_meets_nobody),
        cmocka_unit_test(test_refuses_what_cannot_be),      cmocka_unit_test(test_sub_bands),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
