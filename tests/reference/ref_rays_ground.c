/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two rays over open ground, as to a garage, a gate or a barn: the program's own way from a plan to a loss against the
 * closed form, which is the direct wave plus the one that the ground throws back with Fresnel's coefficient (as in
 * ITU-R P.2040 section 2.2.1), vertical short dipoles at both ends. */
#include "support/check.h"
#include "support/plans.h"

#include <complex.h>
#include <stdio.h>

#include "base/units.h"

static const double FROM_Z_M = 2.3, TO_Z_M = 1.1;

/* Rec. ITU-R P.2040-3 table 3. */
typedef struct ground {
    const char *name;
    double a, b, c, d;
} ground;

static const ground GROUNDS[] = {
    {"very-dry", 3.0, 0.0, 0.00015, 2.52},
    {"medium-dry", 15.0, -0.1, 0.035, 1.63},
    {"wet", 30.0, -0.4, 0.15, 1.30},
};

static double complex permittivity(const ground *g, double frequency_hz)
{
    const double ghz = frequency_hz / 1e9, epsilon_0 = 8.8541878128e-12;
    return g->a * pow(ghz, g->b) - I * (g->c * pow(ghz, g->d) / (2.0 * ES_PI * frequency_hz * epsilon_0));
}

/* Vertical polarisation at a grazing angle of this sine; -1 for a ray that only just touches. */
static double complex reflection(double complex eps, double sine)
{
    const double complex root = csqrt(eps - (1.0 - sine * sine));
    return (eps * sine - root) / (eps * sine + root);
}

typedef struct two_rays {
    double complex direct, echo; /* over the field of an isotropic antenna one metre away */
} two_rays;

/* A short dipole has 1.5 times the gain of an isotropic antenna. */
static two_rays rays_at(const ground *g, double frequency_hz, double distance_m)
{
    const double k = 2.0 * ES_PI * frequency_hz / ES_LIGHT_M_S;
    const double direct_m = hypot(distance_m, FROM_Z_M - TO_Z_M), echo_m = hypot(distance_m, FROM_Z_M + TO_Z_M);
    const double direct_pattern = pow(distance_m / direct_m, 2.0), echo_pattern = pow(distance_m / echo_m, 2.0);
    const double complex r = reflection(permittivity(g, frequency_hz), (FROM_Z_M + TO_Z_M) / echo_m);
    return (two_rays){1.5 * direct_pattern * cexp(-I * (k * direct_m)) / direct_m,
                      1.5 * r * echo_pattern * cexp(-I * (k * echo_m)) / echo_m};
}

/* The model states a mean over a square: so do we, point by point. The way across hardly changes, that along does. */
static double loss_db(const ground *g, double frequency_hz, double distance_m)
{
    enum { POINTS = 41 };
    const double side_m = frequency_hz < 600e6 ? 0.7 : 0.5;
    double sum = 0.0;
    for (int i = 0; i < POINTS; i++)
        for (int j = 0; j < POINTS; j++) {
            const double along = distance_m + side_m * ((i + 0.5) / POINTS - 0.5);
            const double across = side_m * ((j + 0.5) / POINTS - 0.5);
            const two_rays rays = rays_at(g, frequency_hz, hypot(along, across));
            sum += pow(cabs(rays.direct + rays.echo), 2.0) / (POINTS * POINTS);
        }
    return 20.0 * log10(4.0 * ES_PI * frequency_hz / ES_LIGHT_M_S) - 10.0 * log10(sum);
}

typedef struct span {
    earshot_plan *plan;
    earshot_site *site;
    earshot_field *field;
} span;

static span span_new(const char *class, double frequency_hz)
{
    char text[400];
    snprintf(text, sizeof text,
             "plan 1\nsite \"yard\"\nband 433.92MHz 868.3MHz\nground %s\nneed margin=0dB confidence=95%%\n"
             "radio any erp=10dBm sensitivity=-104dBm\nstorey ground level=0m height=3m\n"
             "receiver hub 0,0 at=2.3m radio=any\n",
             class);
    span s = {.plan = plan_of(text)};
    s.site = site_of(s.plan, NULL);
    assert_int_equal(earshot_field_new(s.site, EARSHOT_MODEL_RAYS, frequency_hz, (earshot_vec3){0.0, 0.0, FROM_Z_M},
                                       EARSHOT_ANTENNA_VERTICAL, EARSHOT_DETAIL_LINK, &s.field),
                     EARSHOT_OK);
    return s;
}

static void span_free(span *s)
{
    earshot_field_free(s->field);
    earshot_site_free(s->site);
    earshot_plan_free(s->plan);
}

static double model_db(const span *s, double distance_m)
{
    const double angle_rad = 0.6113; /* in no direction that could be a special one */
    const earshot_vec3 point = {distance_m * cos(angle_rad), distance_m * sin(angle_rad), TO_Z_M};
    earshot_loss loss;
    assert_int_equal(earshot_field_at(s->field, point, EARSHOT_ANTENNA_VERTICAL, &loss), EARSHOT_OK);
    return loss.loss_db;
}

/* An echo more than 25 dB below the direct ray is dropped, and with it up to 0.5 dB: that is where the ground, met at
 * its Brewster angle, throws back next to nothing. */
static bool is_dropped(const ground *g, double frequency_hz, double distance_m)
{
    const two_rays rays = rays_at(g, frequency_hz, distance_m);
    return 20.0 * log10(cabs(rays.echo) / cabs(rays.direct)) < -25.0 + 1e-6;
}

static void check_spans(const ground *g, double frequency_hz)
{
    span s = span_new(g->name, frequency_hz);
    double kept_db = 0.0, dropped_db = 0.0;
    for (double distance_m = 5.0; distance_m < 200.0; distance_m *= 1.0317) {
        const double off_db = fabs(model_db(&s, distance_m) - loss_db(g, frequency_hz, distance_m));
        double *largest_db = is_dropped(g, frequency_hz, distance_m) ? &dropped_db : &kept_db;
        *largest_db = fmax(*largest_db, off_db);
    }
    print_message("%-10s %.2f MHz: 5 to 200 m within %.3f dB of the closed form; %.3f dB where the echo is dropped\n",
                  g->name, frequency_hz / 1e6, kept_db, dropped_db);
    assert_true(kept_db < 0.1);
    assert_true(dropped_db < 0.48);
    span_free(&s);
}

static void spans_of_5_to_200_m_follow_the_closed_form(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof GROUNDS / sizeof GROUNDS[0]; i++) {
        check_spans(&GROUNDS[i], 433.92e6);
        check_spans(&GROUNDS[i], 868.30e6);
    }
}

/* Far out both rays are nearly opposite and all but cancel: 40 log d, 12.04 dB for twice the way. Near by it is 20 log
 * d about the mean of the ripple. */
static void far_out_twice_the_way_costs_12_db(void **state)
{
    (void)state;
    span s = span_new("medium-dry", 433.92e6);
    const double slope = (model_db(&s, 200.0) - model_db(&s, 100.0)) / log10(2.0);
    print_message("medium-dry, 433.92 MHz: %.1f log d from 100 to 200 m\n", slope);
    check_close(slope, 38.0, 1.0, "dB a decade");
    check_close((model_db(&s, 6400.0) - model_db(&s, 1600.0)) / log10(4.0), 40.0, 0.1, "dB a decade");
    assert_true((model_db(&s, 15.0) - model_db(&s, 5.0)) / log10(3.0) < 30.0);
    span_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spans_of_5_to_200_m_follow_the_closed_form),
        cmocka_unit_test(far_out_twice_the_way_costs_12_db),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
