/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws that any slab keeps, and three ways to the same coefficients. */
#include "support/check.h"

#include <stdbool.h>

#include "propagation/slab.h"

static const double C_M_S = 299792458.0, F433 = 433.92e6, F868 = 868.30e6;
static const double COSINES[] = {1.0, 0.93719, 0.70711, 0.5, 0.21337, 0.0171, 1e-4};
enum { N_COSINES = sizeof COSINES / sizeof COSINES[0] };

static const es_layer BRICK = {.a = 3.91, .c = 0.0238, .d = 0.16, .thickness_m = 0.102};
static const es_layer CONCRETE = {.a = 5.24, .c = 0.0462, .d = 0.7822, .thickness_m = 0.215};
static const es_layer GLASS = {.a = 6.31, .c = 0.0036, .d = 1.3394, .thickness_m = 0.0061};
static const es_layer AIR = {.a = 1.0, .thickness_m = 0.0473};
static const es_layer METAL = {.a = 1.0, .c = 1e7, .thickness_m = 0.0013, .conductor = true};
static const es_layer LOSSLESS = {.a = 4.37, .b = -0.13, .thickness_m = 0.171};
static const es_layer LOSSLESS_THIN = {.a = 2.29, .thickness_m = 0.0317};

static double power(double complex field)
{
    return creal(field * conj(field));
}

static void check_same(double complex actual, double complex expected, double tolerance)
{
    check_close(creal(actual), creal(expected), tolerance, "");
    check_close(cimag(actual), cimag(expected), tolerance, "");
}

static double complex permittivity(const es_layer *layer, double frequency_hz)
{
    const double eps0 = 8.8541878128e-12, f = frequency_hz / 1e9;
    return layer->a * pow(f, layer->b) - I * layer->c * pow(f, layer->d) / (2.0 * acos(-1.0) * frequency_hz * eps0);
}

/* ---- the other two ways ---- */

/* ITU-R P.2040 section 2.2, closed form for one slab. */
static void closed_form(const es_layer *layer, double frequency_hz, double cosine, int p, double complex *t,
                        double complex *r)
{
    const double complex eta = permittivity(layer, frequency_hz), s = csqrt(eta - (1.0 - cosine * cosine));
    const double complex face = p == ES_TE ? (cosine - s) / (cosine + s) : (eta * cosine - s) / (eta * cosine + s);
    const double complex q = 2.0 * acos(-1.0) * frequency_hz / C_M_S * layer->thickness_m * s;
    const double complex denominator = 1.0 - face * face * cexp(-2.0 * I * q);
    *r = face * (1.0 - cexp(-2.0 * I * q)) / denominator;
    *t = (1.0 - face * face) * cexp(-I * q) / denominator;
}

/* ITU-R P.2040 section 2.2.2, the recursion in A and B (TM: F and G) as printed, growing exponentials and all. Media 0
 * and n + 1 are air. */
static void recursion(const es_layer *layer, size_t n, double frequency_hz, double cosine, int p, double complex *t,
                      double complex *r)
{
    double complex eta[8], cos_in[8], a = 1.0, b = 0.0;
    assert_true(n + 2 <= 8);
    for (size_t i = 0; i < n + 2; i++) {
        eta[i] = i == 0 || i == n + 1 ? 1.0 : permittivity(&layer[i - 1], frequency_hz);
        cos_in[i] = csqrt(1.0 - (1.0 - cosine * cosine) / eta[i]);
    }
    for (size_t i = n + 1; i-- > 0;) {
        const double complex ratio = cos_in[i + 1] / cos_in[i];
        const double complex y = p == ES_TE ? ratio * csqrt(eta[i + 1] / eta[i]) : ratio * csqrt(eta[i] / eta[i + 1]);
        const double complex k = 2.0 * acos(-1.0) * frequency_hz / C_M_S * csqrt(eta[i]);
        const double complex delta = i == 0 ? 0.0 : I * k * layer[i - 1].thickness_m * cos_in[i];
        const double complex a_next = a, b_next = b;
        a = cexp(delta) / 2.0 * (a_next * (1.0 + y) + b_next * (1.0 - y));
        b = cexp(-delta) / 2.0 * (a_next * (1.0 - y) + b_next * (1.0 + y));
    }
    *t = 1.0 / a;
    *r = b / a;
}

/* A chain of ABCD matrices of transmission lines, admittances relative to air. */
static void abcd_chain(const es_layer *layer, size_t n, double frequency_hz, double cosine, int p, double complex *t,
                       double complex *r)
{
    double complex a = 1.0, b = 0.0, c = 0.0, d = 1.0;
    for (size_t i = 0; i < n; i++) {
        const double complex eta = permittivity(&layer[i], frequency_hz), s = csqrt(eta - (1.0 - cosine * cosine));
        const double complex phase = 2.0 * acos(-1.0) * frequency_hz / C_M_S * layer[i].thickness_m * s;
        const double complex y = p == ES_TE ? s / cosine : eta * cosine / s;
        const double complex ma = ccos(phase), mb = I * csin(phase) / y, mc = I * csin(phase) * y;
        const double complex na = a * ma + b * mc, nb = a * mb + b * ma, nc = c * ma + d * mc, nd = c * mb + d * ma;
        a = na;
        b = nb;
        c = nc;
        d = nd;
    }
    *t = 2.0 / (a + b + c + d);
    *r = (a + b - c - d) / (a + b + c + d);
    if (p == ES_TM) *r = -*r; /* the chain counts voltages: the part of E along the slab */
}

static void three_ways_agree_for_one_layer(void **state)
{
    (void)state;
    const es_layer layer[] = {BRICK, CONCRETE, GLASS, LOSSLESS};
    for (size_t l = 0; l < 4; l++) {
        for (size_t i = 0; i < N_COSINES; i++) {
            double complex t[2], r[2], other_t, other_r;
            es_slab_layers(&layer[l], 1, F868, COSINES[i], t, r);
            for (int p = ES_TE; p <= ES_TM; p++) {
                closed_form(&layer[l], F868, COSINES[i], p, &other_t, &other_r);
                check_same(t[p], other_t, 1e-11);
                check_same(r[p], other_r, 1e-11);
                recursion(&layer[l], 1, F868, COSINES[i], p, &other_t, &other_r);
                check_same(t[p], other_t, 1e-11);
                check_same(r[p], other_r, 1e-11);
                abcd_chain(&layer[l], 1, F868, COSINES[i], p, &other_t, &other_r);
                check_same(t[p], other_t, 1e-11);
                check_same(r[p], other_r, 1e-11);
            }
        }
    }
}

static void two_ways_agree_for_five_layers(void **state)
{
    (void)state;
    const es_layer layer[] = {BRICK, AIR, CONCRETE, LOSSLESS_THIN, GLASS};
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2], other_t, other_r;
        es_slab_layers(layer, 5, F433, COSINES[i], t, r);
        for (int p = ES_TE; p <= ES_TM; p++) {
            recursion(layer, 5, F433, COSINES[i], p, &other_t, &other_r);
            check_same(t[p], other_t, 1e-10);
            check_same(r[p], other_r, 1e-10);
            abcd_chain(layer, 5, F433, COSINES[i], p, &other_t, &other_r);
            check_same(t[p], other_t, 1e-10);
            check_same(r[p], other_r, 1e-10);
        }
    }
}

/* ---- laws ---- */

static void lossless_layers_keep_all_energy(void **state)
{
    (void)state;
    const es_layer layer[] = {LOSSLESS, AIR, LOSSLESS_THIN};
    for (size_t n = 1; n <= 3; n++) {
        for (size_t i = 0; i < N_COSINES; i++) {
            double complex t[2], r[2];
            es_slab_layers(layer, n, F868, COSINES[i], t, r);
            check_close(power(t[ES_TE]) + power(r[ES_TE]), 1.0, 1e-12, "");
            check_close(power(t[ES_TM]) + power(r[ES_TM]), 1.0, 1e-12, "");
        }
    }
}

static void lossy_layers_gain_none(void **state)
{
    (void)state;
    const es_layer layer[] = {GLASS, BRICK, AIR, CONCRETE};
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2];
        es_slab_layers(layer, 4, F433, COSINES[i], t, r);
        for (int p = ES_TE; p <= ES_TM; p++) assert_true(power(t[p]) + power(r[p]) < 1.0);
    }
}

static void turned_round_it_lets_the_same_through(void **state)
{
    (void)state;
    const es_layer forth[] = {BRICK, AIR, GLASS, CONCRETE}, back[] = {CONCRETE, GLASS, AIR, BRICK};
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2], t_back[2], r_back[2];
        es_slab_layers(forth, 4, F868, COSINES[i], t, r);
        es_slab_layers(back, 4, F868, COSINES[i], t_back, r_back);
        for (int p = ES_TE; p <= ES_TM; p++) check_same(t[p], t_back[p], 1e-14);
        assert_true(cabs(r[ES_TE] - r_back[ES_TE]) > 1e-4);
    }
}

static void normal_incidence_knows_no_polarisation(void **state)
{
    (void)state;
    const es_layer layer[] = {BRICK, AIR, CONCRETE};
    double complex t[2], r[2];
    es_slab_layers(layer, 3, F868, 1.0, t, r);
    check_same(t[ES_TM], t[ES_TE], 1e-15);
    check_same(r[ES_TM], -r[ES_TE], 1e-15);
}

static void one_layer_in_two_pieces_is_one_layer(void **state)
{
    (void)state;
    es_layer piece[2] = {CONCRETE, CONCRETE};
    piece[0].thickness_m = 0.0731;
    piece[1].thickness_m = CONCRETE.thickness_m - piece[0].thickness_m;
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2], t_cut[2], r_cut[2];
        es_slab_layers(&CONCRETE, 1, F433, COSINES[i], t, r);
        es_slab_layers(piece, 2, F433, COSINES[i], t_cut, r_cut);
        for (int p = ES_TE; p <= ES_TM; p++) {
            check_same(t_cut[p], t[p], 1e-13);
            check_same(r_cut[p], r[p], 1e-13);
        }
    }
}

static void air_is_not_there(void **state)
{
    (void)state;
    const es_material air = {.layer = &AIR, .n_layers = 1, .thickness_m = AIR.thickness_m};
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2];
        es_slab_coefficients(&air, F868, COSINES[i], t, r);
        for (int p = ES_TE; p <= ES_TM; p++) {
            check_same(t[p], 1.0, 1e-15);
            assert_true(r[p] == 0.0);
        }
    }
    double complex t[2], r[2];
    es_slab_layers(&AIR, 1, F868, 0.0, t, r);
    check_same(t[ES_TM], 1.0, 1e-5);
    assert_true(r[ES_TM] == 0.0);
}

static void grazing_incidence_reflects_all(void **state)
{
    (void)state;
    const double cosine[] = {0.0, -0.3, 1e-9}; /* all count as 1e-6, which leaves some 1e-5 to the limit */
    for (size_t i = 0; i < 3; i++) {
        double complex t[2], r[2];
        es_slab_layers(&BRICK, 1, F868, cosine[i], t, r);
        check_same(r[ES_TE], -1.0, 5e-5);
        check_same(r[ES_TM], -1.0, 5e-5);
        check_same(t[ES_TE], 0.0, 5e-5);
        check_same(t[ES_TM], 0.0, 5e-5);
    }
}

static void two_metres_of_wet_concrete(void **state)
{
    (void)state;
    /* Ten times the conductivity: some 300 dB/m at 868 MHz. A recursion with growing exponentials would do; 1 km of
     * it would not, and must come out as opaque and not as NaN. */
    es_layer wet = {.a = 9.1, .c = 0.462, .d = 0.7822, .thickness_m = 2.0};
    double complex t[2], r[2];
    es_slab_layers(&wet, 1, F868, 0.5, t, r);
    assert_true(cabs(t[ES_TE]) < 1e-20 && cabs(t[ES_TE]) > 0.0);
    assert_true(cabs(r[ES_TE]) > 0.5 && cabs(r[ES_TE]) < 1.0);
    wet.thickness_m = 1000.0;
    es_slab_layers(&wet, 1, F868, 0.5, t, r);
    assert_true(t[ES_TE] == 0.0);
    assert_true(cabs(r[ES_TE]) > 0.5 && cabs(r[ES_TE]) < 1.0);
}

/* ---- conductors ---- */

static void a_conductor_reflects_all(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2];
        es_slab_layers(&METAL, 1, F868, COSINES[i], t, r);
        assert_true(t[ES_TE] == 0.0 && t[ES_TM] == 0.0);
        check_same(r[ES_TE], -1.0, 1e-15);
        check_same(r[ES_TM], 1.0, 1e-15);
    }
}

/* The conductor as the limit of a very well conducting layer. */
static void behind_a_lossless_layer_too(void **state)
{
    (void)state;
    const es_layer ideal[] = {LOSSLESS, METAL, BRICK};
    es_layer copper[] = {LOSSLESS, METAL, BRICK};
    copper[1].conductor = false;
    copper[1].c = 1e16;
    for (size_t i = 0; i + 1 < N_COSINES; i++) {
        double complex t[2], r[2], t_limit[2], r_limit[2];
        es_slab_layers(ideal, 3, F868, COSINES[i], t, r);
        es_slab_layers(copper, 3, F868, COSINES[i], t_limit, r_limit);
        for (int p = ES_TE; p <= ES_TM; p++) {
            assert_true(t[p] == 0.0);
            check_close(power(r[p]), 1.0, 1e-12, "");
            check_same(r[p], r_limit[p], 1e-4);
        }
    }
}

/* ---- loss tables ---- */

static const earshot_loss_entry TABLE[] = {{433e6, 7.31}, {868e6, 12.47}};

static void a_table_sets_transmission_at_normal_incidence(void **state)
{
    (void)state;
    const es_material table_only = {.loss = TABLE, .n_losses = 2};
    const es_material both = {.layer = &BRICK, .n_layers = 1, .thickness_m = 0.102, .loss = TABLE, .n_losses = 2};
    const es_material layers = {.layer = &BRICK, .n_layers = 1, .thickness_m = 0.102};
    double complex t[2], r[2], t_layers[2], r_layers[2];
    es_slab_coefficients(&table_only, 868e6, 1.0, t, r);
    check_same(t[ES_TE], pow(10.0, -12.47 / 20.0), 1e-14);
    check_same(t[ES_TM], pow(10.0, -12.47 / 20.0), 1e-14);
    es_slab_coefficients(&layers, 433e6, 1.0, t_layers, r_layers);
    es_slab_coefficients(&both, 433e6, 1.0, t, r);
    check_close(cabs(t[ES_TE]), pow(10.0, -7.31 / 20.0), 1e-14, "");
    check_close(carg(t[ES_TE]), carg(t_layers[ES_TE]), 1e-14, "rad");
    check_same(r[ES_TE], r_layers[ES_TE], 1e-15);
}

static void a_table_keeps_energy_at_every_angle(void **state)
{
    (void)state;
    const double losses_db[] = {0.0, 0.13, 0.99, 1.07, 3.3, 17.0, 41.0};
    for (size_t l = 0; l < sizeof losses_db / sizeof losses_db[0]; l++) {
        const earshot_loss_entry entry = {868e6, losses_db[l]};
        const es_material bare = {.loss = &entry, .n_losses = 1};
        const es_material metal = {
            .layer = &METAL, .n_layers = 1, .thickness_m = 0.0013, .loss = &entry, .n_losses = 1};
        for (size_t i = 0; i < N_COSINES; i++) {
            double complex t[2], r[2];
            es_slab_coefficients(&bare, F868, COSINES[i], t, r);
            for (int p = ES_TE; p <= ES_TM; p++) assert_true(power(t[p]) + power(r[p]) <= 1.0 + 1e-15);
            es_slab_coefficients(&metal, F868, COSINES[i], t, r);
            for (int p = ES_TE; p <= ES_TM; p++) check_close(power(t[p]) + power(r[p]), 1.0, 1e-14, "");
        }
    }
}

static void no_loss_reflects_nothing(void **state)
{
    (void)state;
    const earshot_loss_entry entry = {868e6, 0.0};
    const es_material open = {.loss = &entry, .n_losses = 1};
    for (size_t i = 0; i < N_COSINES; i++) {
        double complex t[2], r[2];
        es_slab_coefficients(&open, F868, COSINES[i], t, r);
        for (int p = ES_TE; p <= ES_TM; p++) {
            assert_true(t[p] == 1.0);
            assert_true(r[p] == 0.0);
        }
    }
}

/* A real brick wall, known by its layers and by a table of its loss, at 60 degrees: the table's law may miss by what
 * the echoes inside the slab do, not more. */
static void angle_law_follows_a_real_wall(void **state)
{
    (void)state;
    const es_layer wall = {.a = 3.91, .c = 0.0238, .d = 0.16, .thickness_m = 0.365};
    double complex t[2], r[2], t_table[2], r_table[2];
    es_slab_layers(&wall, 1, F868, 1.0, t, r);
    const earshot_loss_entry entry = {F868, -20.0 * log10(cabs(t[ES_TE]))};
    const es_material table = {.loss = &entry, .n_losses = 1};
    for (double cosine = 1.0; cosine > 0.3; cosine -= 0.0371) {
        es_slab_layers(&wall, 1, F868, cosine, t, r);
        es_slab_coefficients(&table, F868, cosine, t_table, r_table);
        for (int p = ES_TE; p <= ES_TM; p++)
            check_close(20.0 * log10(cabs(t_table[p])), 20.0 * log10(cabs(t[p])), 1.3, "dB");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_ways_agree_for_one_layer),
        cmocka_unit_test(two_ways_agree_for_five_layers),
        cmocka_unit_test(lossless_layers_keep_all_energy),
        cmocka_unit_test(lossy_layers_gain_none),
        cmocka_unit_test(turned_round_it_lets_the_same_through),
        cmocka_unit_test(normal_incidence_knows_no_polarisation),
        cmocka_unit_test(one_layer_in_two_pieces_is_one_layer),
        cmocka_unit_test(air_is_not_there),
        cmocka_unit_test(grazing_incidence_reflects_all),
        cmocka_unit_test(two_metres_of_wet_concrete),
        cmocka_unit_test(a_conductor_reflects_all),
        cmocka_unit_test(behind_a_lossless_layer_too),
        cmocka_unit_test(a_table_sets_transmission_at_normal_incidence),
        cmocka_unit_test(a_table_keeps_energy_at_every_angle),
        cmocka_unit_test(no_loss_reflects_nothing),
        cmocka_unit_test(angle_law_follows_a_real_wall),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
