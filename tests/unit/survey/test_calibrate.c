/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Calibration from end to end, on levels whose truth is known because we made them. */
#include "support/check.h"

#include <stdio.h>

#include "support/plans.h"
#include "survey/fade.h"

static const double F_HZ = 868.3e6;

/* A hall of four bays: thick walls at x = 6 and 18, thin ones at 12, a pane at 24; `tank` stands where nobody reads. */
#define HALL                                                                                                           \
    "radio hub sensitivity=-108.6dBm\nradio pir erp=7.4dBm\n"                                                          \
    "storey ground level=0m height=2.5m\n"                                                                             \
    "wall thick 6,0 6,40\nwall thin 12,0 12,40\nwall thick 18,0 18,40\nwall pane 24,0 24,40\n"                         \
    "wall tank 0,60 40,60\n"                                                                                           \
    "receiver panel 1.3,20.7 at=1.6m radio=hub\n"                                                                      \
    "device near movement 4.1,31.3 at=2.1m radio=pir\ndevice far movement 27.3,33.1 at=2.1m radio=pir\n"               \
    "device away movement 27.3,8.2 at=2.1m radio=pir\ndevice behind movement 20,70 at=2.1m radio=pir\n"
static const char PLAN[] = "plan 1\nband 868.3MHz\nneed margin=3dB confidence=95%\n" TEST_MATERIALS HALL;
/* What the place is really like. */
static const char TRUTH[] = "plan 1\nband 868.3MHz\n"
                            "material thick loss=868.3:13.1 spread=0dB\nmaterial thin loss=868.3:2.3 spread=0dB\n"
                            "material pane loss=868.3:0.9 spread=0dB\nmaterial tank loss=868.3:31.7 spread=0dB\n" HALL;

enum { MOST = 60 };

typedef struct bench {
    earshot_plan *plan, *truth;
    earshot_site *truth_site;
    earshot_reading reading[MOST];
    earshot_readings readings;
    earshot_calibrate_options options;
    earshot_calibration *c;
} bench;

static int set_up(void **state)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    b->plan = plan_of(PLAN);
    b->truth = plan_of(TRUTH);
    b->truth_site = site_of(b->truth, NULL);
    b->readings = (earshot_readings){.name = "made up", .reading = b->reading};
    b->options = earshot_calibrate_defaults();
    *state = b;
    return 0;
}

static int tear_down(void **state)
{
    bench *b = *state;
    earshot_calibration_free(b->c);
    earshot_site_free(b->truth_site);
    earshot_plan_free(b->truth);
    earshot_plan_free(b->plan);
    free(b);
    return 0;
}

static earshot_loss loss_by(earshot_model model, const earshot_site *site, earshot_vec3 at)
{
    earshot_field *field;
    earshot_loss loss;
    assert_int_equal(earshot_field_new(site, model, F_HZ, earshot_site_receiver_at(site, 0), EARSHOT_ANTENNA_ISOTROPIC,
                                       EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_OK);
    assert_int_equal(earshot_field_at(field, at, EARSHOT_ANTENNA_ISOTROPIC, &loss), EARSHOT_OK);
    earshot_field_free(field);
    return loss;
}

static earshot_loss loss_to(const earshot_site *site, earshot_vec3 at)
{
    return loss_by(EARSHOT_MODEL_DIRECT, site, at);
}

static double true_level_dbm(const bench *b, earshot_vec3 at)
{
    return 7.4 + EARSHOT_DIPOLE_DB - loss_to(b->truth_site, at).loss_db;
}

/* As a reading shows it on average: decibels of a fading level average lower. */
static double shown_dbm(const bench *b, earshot_vec3 at)
{
    return true_level_dbm(b, at) + es_fade_of(loss_to(b->truth_site, at).rice_k).mean_db;
}

static earshot_reading *add(bench *b, double x_m, double y_m, double off_db)
{
    assert_true(b->readings.n < MOST);
    earshot_reading *r = &b->reading[b->readings.n++];
    *r = (earshot_reading){.line = (unsigned)b->readings.n + 1,
                           .device = EARSHOT_NONE,
                           .at = {x_m, y_m, 1.5},
                           .frequency_hz = F_HZ,
                           .unit = EARSHOT_LEVEL_DBM,
                           .heard = true,
                           .noise_dbm = NAN,
                           .day = EARSHOT_NO_DAY};
    r->level = shown_dbm(b, r->at) + off_db;
    return r;
}

/* Readings all over the hall, each off by a little, in no order. */
static void add_many(bench *b, double offset_db)
{
    static const double off[] = {0.7, -1.1, 0.3, 1.4, -0.8, -0.2, 0.9, -1.3};
    for (size_t i = 0; i < 32; i++)
        add(b, 2.9 + 7.3 * (double)(i % 4), 3.1 + 4.7 * (double)(i / 4), offset_db + off[i * 5 % 8]);
}

static void calibrate(bench *b)
{
    earshot_error error = {0};
    earshot_calibration_free(b->c);
    const earshot_status status = earshot_calibrate(b->plan, NULL, &b->readings, &b->options, NULL, &b->c, &error);
    if (status) print_error("%s\n", error.message);
    assert_int_equal(status, EARSHOT_OK);
    assert_true(b->c->settled);
}

static const earshot_material_fit *fit_of(const bench *b, const char *name)
{
    for (size_t i = 0; i < b->c->n_materials; i++)
        if (strcmp(b->plan->material[b->c->material[i].material].name, name) == 0) return &b->c->material[i];
    return NULL;
}

static void losses_come_out(void **state)
{
    bench *b = *state;
    add_many(b, -4.3);
    calibrate(b);
    const earshot_material_fit *thick = fit_of(b, "thick");
    assert_non_null(thick);
    check_close(thick->before_db, 9.47, 1e-9, "dB");
    check_close(thick->before_sigma_db, 2.7, 1e-9, "dB");
    check_close(thick->after_db, 13.1, 2.0 * thick->after_sigma_db, "dB");
    assert_true(thick->after_sigma_db < 1.6);
    assert_true(fabs(thick->after_db - 13.1) < 0.6 * fabs(thick->before_db - 13.1));
    assert_int_equal(thick->readings, 24);
    assert_true(b->c->rms_after_db < 0.6 * b->c->rms_before_db);
    assert_true(b->c->rms_left_out_db > b->c->rms_after_db);
    for (size_t i = 0; i < b->readings.n; i++) assert_int_equal(b->c->reading[i].flag, EARSHOT_READING_FITS);
}

static void what_no_reading_met_keeps_its_prior(void **state)
{
    bench *b = *state;
    add_many(b, 0.0);
    calibrate(b);
    assert_null(fit_of(b, "tank"));
    const size_t tank = material_named(b->plan, "tank");
    check_close(earshot_material_loss_db(b->c->after, tank, F_HZ, NULL), 31.7, 1e-9, "dB");
    check_close(earshot_material_spread_db(b->c->after, tank), 5.3, 1e-9, "dB");
    const earshot_vec3 behind = earshot_site_device_at(b->c->before, device_named(b->plan, "behind"));
    assert_true(loss_to(b->c->after, behind).material_sigma_db > 5.29);
}

static void the_corrected_site_uses_the_losses(void **state)
{
    bench *b = *state;
    add_many(b, 0.0);
    calibrate(b);
    const earshot_material_fit *thick = fit_of(b, "thick");
    check_close(earshot_material_loss_db(b->c->after, thick->material, F_HZ, NULL), thick->after_db, 1e-9, "dB");
    check_close(earshot_material_spread_db(b->c->after, thick->material), thick->after_sigma_db, 1e-9, "dB");
    check_close(earshot_material_loss_db(b->c->before, thick->material, F_HZ, NULL), 9.47, 1e-9, "dB");
}

/* The level after is nearer to the truth, and surer; nearest to a reading the most. */
static void doubt_shrinks_more_near_a_reading(void **state)
{
    bench *b = *state;
    add_many(b, -2.0);
    calibrate(b);
    const earshot_vec3 on = {2.9 + 3 * 7.3, 3.1 + 4.7, 1.5}, between = {21.3, 10.3, 1.5}, beyond = {38.0, 38.0, 1.5};
    const earshot_loss at = loss_to(b->c->after, on), amid = loss_to(b->c->after, between);
    const earshot_loss out = loss_to(b->c->after, beyond), before = loss_to(b->c->before, on);
    assert_true(at.model_sigma_db < amid.model_sigma_db);
    assert_true(amid.model_sigma_db <= out.model_sigma_db + 1e-9);
    assert_true(at.material_sigma_db < before.material_sigma_db);
    check_close(7.4 + EARSHOT_DIPOLE_DB - at.loss_db, true_level_dbm(b, on) - 2.0, 3.0, "dBm");
}

static void without_walls_the_offset_learns(void **state)
{
    bench *b = *state;
    for (size_t i = 0; i < 6; i++) add(b, 2.0 + 0.6 * (double)i, 4.0 + 6.0 * (double)i, 6.2);
    calibrate(b);
    assert_int_equal(b->c->n_materials, 0);
    assert_true(b->c->offset_db > 2.0 && b->c->offset_db < 8.0);
    assert_true(b->c->offset_sigma_db < 2.9);
    b->options.tolerance_db = 1e-3;
    calibrate(b);
    check_close(b->c->offset_db, 0.0, 0.01, "dB");
}

static void a_wild_reading_is_named_and_hardly_counts(void **state)
{
    bench *b = *state;
    add_many(b, 0.0);
    calibrate(b);
    const double sound_db = fit_of(b, "thick")->after_db;
    const earshot_vec3 beside = {b->reading[14].at.x_m + 0.3, b->reading[14].at.y_m, 1.5};
    const double beside_db = loss_to(b->c->after, beside).loss_db;
    b->reading[14].level -= 31.0;
    calibrate(b);
    for (size_t i = 0; i < b->readings.n; i++)
        assert_int_equal(b->c->reading[i].flag, i == 14 ? EARSHOT_READING_WEAKER : EARSHOT_READING_FITS);
    assert_true(b->c->reading[14].left_out_db < -20.0);
    assert_true(b->c->reading[14].trust < 0.01);
    check_close(fit_of(b, "thick")->after_db, sound_db, 0.7, "dB");
    check_close(loss_to(b->c->after, beside).loss_db, beside_db, 1.5, "dB");
    b->reading[14].level += 62.0;
    calibrate(b);
    assert_int_equal(b->c->reading[14].flag, EARSHOT_READING_STRONGER);
}

/* Readings only beyond both a thick and a thin wall: together they are known, singly they are not. */
static void inseparable_walls_are_said_to_be(void **state)
{
    bench *b = *state;
    for (size_t i = 0; i < 5; i++) {
        add(b, 3.3, 3.0 + 7.1 * (double)i, 0.2 * (double)i);
        add(b, 15.2, 2.0 + 8.3 * (double)i, -0.1 * (double)i);
    }
    calibrate(b);
    const earshot_material_fit *thick = fit_of(b, "thick"), *thin = fit_of(b, "thin");
    assert_int_equal(b->c->n_groups, 1);
    assert_int_equal(thick->group, 0);
    assert_int_equal(thin->group, 0);
    assert_int_equal(b->c->group[0].n, 2);
    assert_false(b->c->group[0].with_offset);
    check_close(b->c->group[0].together_db, thick->after_db + thin->after_db, 1e-9, "dB");
    assert_true(b->c->group[0].together_sigma_db < hypot(thick->after_sigma_db, thin->after_sigma_db));
    /* Split as the spreads are, squared. */
    check_close(thick->correction_db / thin->correction_db, 2.7 * 2.7 / (0.9 * 0.9), 1e-3, "");
}

static void a_wall_in_every_reading_is_not_told_from_the_offset(void **state)
{
    bench *b = *state;
    for (size_t i = 0; i < 6; i++) add(b, 8.2, 3.0 + 6.1 * (double)i, -5.0);
    calibrate(b);
    assert_int_equal(b->c->n_groups, 1);
    assert_true(b->c->group[0].with_offset);
}

/* Bounds: heard with 20 dB taken off, not heard with 30. */
static void bounds_enclose_the_level(void **state)
{
    bench *b = *state;
    const double low_db = 20.0, high_db = 30.0;
    add(b, 8.0, 33.0, 0.0);
    const double margin_db = b->reading[0].level + 108.6;
    b->readings.n = 0;
    for (size_t i = 0; i < 2; i++) {
        earshot_reading *r = add(b, 8.0, 33.0, 0.0);
        r->unit = EARSHOT_LEVEL_NONE;
        r->level = NAN;
        r->heard = i == 0;
        r->attenuator_db = i == 0 ? low_db : high_db;
    }
    calibrate(b);
    assert_true(margin_db > high_db + 10.0); /* so the second bound is news */
    const double fitted_dbm = b->c->reading[1].fitted_dbm;
    assert_true(fitted_dbm < b->c->reading[1].predicted_dbm - 3.0);
    check_close(b->c->reading[0].bound_dbm, -108.6 + low_db, 1e-9, "dBm");
    check_close(b->c->reading[1].bound_dbm, -108.6 + high_db, 1e-9, "dBm");
    assert_true(isnan(b->c->reading[0].measured_dbm));
    check_close(b->c->reading[0].residual_db, 0.0, 0.0, "dB");
    check_close(b->c->reading[1].residual_db, b->c->reading[1].bound_dbm - b->c->reading[1].predicted_dbm, 1e-9, "dB");
    assert_true(isnan(b->c->rms_before_db));
}

static void an_agreeing_bound_changes_next_to_nothing(void **state)
{
    bench *b = *state;
    earshot_reading *r = add(b, 8.0, 33.0, 0.0);
    r->unit = EARSHOT_LEVEL_NONE;
    r->level = NAN;
    calibrate(b);
    check_close(b->c->reading[0].fitted_dbm, b->c->reading[0].predicted_dbm, 0.01, "dBm");
}

/* A panel that shows 0 at -104 dBm and 100 at -32 dBm. */
static void a_scale_is_fitted(void **state)
{
    bench *b = *state;
    add_many(b, 0.0);
    for (size_t i = 0; i < b->readings.n; i++) {
        b->reading[i].unit = EARSHOT_LEVEL_SCALE;
        b->reading[i].level = round(100.0 * (b->reading[i].level + 104.0) / 72.0);
    }
    calibrate(b);
    assert_true(b->c->scale_used && b->c->scale_fitted);
    check_close(b->c->scale_high_dbm - b->c->scale_low_dbm, 72.0, 12.0, "dB");
    b->options.scale_low_dbm = -104.0;
    b->options.scale_high_dbm = -32.0;
    calibrate(b);
    assert_false(b->c->scale_fitted);
    check_close(b->c->reading[3].measured_dbm, -104.0 + 0.72 * b->reading[3].level, 1e-9, "dBm");
    assert_true(fabs(fit_of(b, "thick")->after_db - 13.1) < 2.0);
}

static void margins_and_attenuators_are_levels_too(void **state)
{
    bench *b = *state;
    add(b, 8.0, 33.0, 0.0);
    const double dbm = b->reading[0].level;
    b->reading[0].unit = EARSHOT_LEVEL_MARGIN;
    b->reading[0].level = dbm + 108.6 - 17.0;
    b->reading[0].attenuator_db = 17.0;
    calibrate(b);
    check_close(b->c->reading[0].measured_dbm, dbm, 1e-9, "dBm");
}

static void noise_comes_from_places_read_again(void **state)
{
    bench *b = *state;
    add_many(b, 0.0);
    calibrate(b);
    assert_false(b->c->noise_estimated);
    check_close(b->c->noise_db, 2.0, 1e-9, "dB");
    for (size_t i = 0; i < 12; i++) add(b, 2.9, 3.1, i % 2 ? 0.3 : -0.3);
    calibrate(b);
    assert_true(b->c->noise_estimated);
    assert_true(b->c->noise_db > 0.4 && b->c->noise_db < 1.3);
    assert_int_equal(b->c->n_places, 32);
    b->options.noise_db = 5.0;
    calibrate(b);
    assert_false(b->c->noise_estimated);
}

static void few_places_keep_the_assumed_correlation(void **state)
{
    bench *b = *state;
    for (size_t i = 0; i < 5; i++) add(b, 8.0 + 3.0 * (double)i, 33.0, (double)i);
    calibrate(b);
    assert_false(b->c->left_estimated);
    check_close(b->c->length_m, 1.3, 1e-9, "m");
    check_close(b->c->model_share, 1.0, 1e-9, "");
    add_many(b, 0.0);
    calibrate(b);
    assert_true(b->c->left_estimated);
    assert_true(b->c->model_share < 1.0);
}

static void both_ends_may_be_swapped(void **state)
{
    bench *b = *state;
    add_many(b, 1.0);
    calibrate(b);
    const earshot_vec3 hub = earshot_site_receiver_at(b->c->after, 0), at = {16.3, 11.9, 1.1};
    earshot_field *field;
    earshot_loss back;
    assert_int_equal(earshot_field_new(b->c->after, EARSHOT_MODEL_DIRECT, F_HZ, at, EARSHOT_ANTENNA_ISOTROPIC,
                                       EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_OK);
    assert_int_equal(earshot_field_at(field, hub, EARSHOT_ANTENNA_ISOTROPIC, &back), EARSHOT_OK);
    const earshot_loss there = loss_to(b->c->after, at);
    check_close(back.loss_db, there.loss_db, 1e-9, "dB");
    check_close(back.model_sigma_db, there.model_sigma_db, 1e-9, "dB");
    earshot_field_free(field);
}

static void order_of_rows_does_not_matter(void **state)
{
    bench *b = *state;
    add_many(b, -1.0);
    calibrate(b);
    const double thick_db = fit_of(b, "thick")->after_db, left_out_db = b->c->reading[5].left_out_db;
    for (size_t i = 0; i < 16; i++) {
        const earshot_reading other = b->reading[i];
        b->reading[i] = b->reading[31 - i];
        b->reading[31 - i] = other;
    }
    calibrate(b);
    check_close(fit_of(b, "thick")->after_db, thick_db, 0.02, "dB");
    check_close(b->c->reading[26].left_out_db, left_out_db, 0.05, "dB");
}

static void a_flat_prior_lets_the_data_speak(void **state)
{
    bench *b = *state;
    add_many(b, -3.0);
    calibrate(b);
    const double with_prior = fit_of(b, "thick")->after_sigma_db;
    b->options.flat = true;
    calibrate(b);
    assert_true(isinf(fit_of(b, "thick")->before_sigma_db));
    assert_true(fit_of(b, "thick")->after_sigma_db > with_prior);
    check_close(fit_of(b, "thick")->after_db, 13.1, 1.5, "dB");
}

/* A wall cannot amplify, however loud the readings. */
static void no_loss_falls_below_nothing(void **state)
{
    bench *b = *state;
    b->options.flat = true;
    for (size_t i = 0; i < 10; i++) add(b, i % 2 ? 26.5 : 20.0, 2.0 + 3.7 * (double)i, i % 2 ? 9.0 : 0.0);
    calibrate(b);
    const earshot_material_fit *pane = fit_of(b, "pane");
    assert_true(pane->after_db >= 0.0);
    check_close(earshot_material_loss_db(b->c->after, pane->material, F_HZ, NULL), pane->after_db, 1e-9, "dB");
}

/* The same with the other model, whose slopes are numeric and whose levels are not linear in the losses. */
static void the_rays_model_learns_too(void **state)
{
    bench *b = *state;
    b->options.model = EARSHOT_MODEL_RAYS;
    for (size_t i = 0; i < 16; i++) {
        earshot_reading *r = add(b, 3.1 + 7.3 * (double)(i % 4), 3.1 + 9.7 * (double)(i / 4), 0.0);
        const earshot_loss loss = loss_by(EARSHOT_MODEL_RAYS, b->truth_site, r->at);
        r->level = 7.4 + EARSHOT_DIPOLE_DB - loss.loss_db + es_fade_of(loss.rice_k).mean_db;
    }
    calibrate(b);
    const earshot_material_fit *thick = fit_of(b, "thick");
    assert_non_null(thick);
    print_message("  rays: thick %.2f +- %.2f dB, rms %.2f dB before, %.2f dB after, %zu rounds\n", thick->after_db,
                  thick->after_sigma_db, b->c->rms_before_db, b->c->rms_after_db, b->c->rounds);
    check_close(thick->after_db, 13.1, 2.0 * thick->after_sigma_db, "dB");
    assert_true(fabs(thick->after_db - 13.1) < 0.7 * (13.1 - 9.47));
    assert_true(b->c->rms_after_db < 0.7 * b->c->rms_before_db);
}

static void check_refused(bench *b, earshot_status expected, const char *message)
{
    earshot_calibration *c;
    earshot_error error = {0};
    assert_int_equal(earshot_calibrate(b->plan, NULL, &b->readings, &b->options, NULL, &c, &error), expected);
    assert_null(c);
    if (message) assert_non_null(strstr(error.message, message));
}

static void what_is_refused(void **state)
{
    bench *b = *state;
    check_refused(b, EARSHOT_READINGS, "nothing to learn");
    add_many(b, 0.0);
    b->options.tolerance_db = 0.0;
    check_refused(b, EARSHOT_ARGUMENT, NULL);
    b->options.tolerance_db = NAN;
    check_refused(b, EARSHOT_ARGUMENT, NULL);
    b->options = earshot_calibrate_defaults();
    b->options.noise_db = -1.0;
    check_refused(b, EARSHOT_ARGUMENT, NULL);
    b->options = earshot_calibrate_defaults();
    b->options.scale_low_dbm = -20.0;
    b->options.scale_high_dbm = -90.0;
    check_refused(b, EARSHOT_ARGUMENT, "scale");
    b->options = earshot_calibrate_defaults();
    b->options.radio = "walkie";
    check_refused(b, EARSHOT_NO_SUCH_NAME, "no radio 'walkie'");
    b->options.radio = "hub";
    check_refused(b, EARSHOT_READINGS, "cannot hear each other");
    earshot_calibration *c;
    b->options.radio = NULL;
    assert_int_equal(earshot_calibrate(b->plan, "night", &b->readings, &b->options, NULL, &c, NULL),
                     EARSHOT_NO_SUCH_NAME);
    assert_int_equal(earshot_calibrate(NULL, NULL, &b->readings, &b->options, NULL, &c, NULL), EARSHOT_ARGUMENT);
}

static bool stop(void *context, double done)
{
    (void)context;
    (void)done;
    return false;
}

static void the_watch_may_stop_it(void **state)
{
    bench *b = *state;
    const earshot_watch watch = {.progress = stop};
    earshot_calibration *c;
    add_many(b, 0.0);
    assert_int_equal(earshot_calibrate(b->plan, NULL, &b->readings, &b->options, &watch, &c, NULL), EARSHOT_INTERNAL);
    assert_null(c);
}

#define IN_HALL(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_HALL(losses_come_out),
        IN_HALL(what_no_reading_met_keeps_its_prior),
        IN_HALL(the_corrected_site_uses_the_losses),
        IN_HALL(doubt_shrinks_more_near_a_reading),
        IN_HALL(without_walls_the_offset_learns),
        IN_HALL(a_wild_reading_is_named_and_hardly_counts),
        IN_HALL(inseparable_walls_are_said_to_be),
        IN_HALL(a_wall_in_every_reading_is_not_told_from_the_offset),
        IN_HALL(bounds_enclose_the_level),
        IN_HALL(an_agreeing_bound_changes_next_to_nothing),
        IN_HALL(a_scale_is_fitted),
        IN_HALL(margins_and_attenuators_are_levels_too),
        IN_HALL(noise_comes_from_places_read_again),
        IN_HALL(few_places_keep_the_assumed_correlation),
        IN_HALL(both_ends_may_be_swapped),
        IN_HALL(order_of_rows_does_not_matter),
        IN_HALL(a_flat_prior_lets_the_data_speak),
        IN_HALL(no_loss_falls_below_nothing),
        IN_HALL(the_rays_model_learns_too),
        IN_HALL(what_is_refused),
        IN_HALL(the_watch_may_stop_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
