/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A calibration as JSON. */
#include <jansson.h>
#include <math.h>

#include "base/text.h"
#include "earshot/version.h"
#include "present/calibrate_words.h"
#include "present/json.h"

enum { DIGITS = 15 };

/* Takes over the value; false when either is missing, as memory is out. */
static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static bool put_number(json_t *object, const char *key, double value)
{
    return put(object, key, es_json_number(value, 3));
}

static bool put_count(json_t *object, const char *key, size_t value)
{
    return put(object, key, json_integer((json_int_t)value));
}

static bool put_text(json_t *object, const char *key, const char *value)
{
    return put(object, key, es_json_text(value));
}

static bool put_date(json_t *object, const char *key, long day)
{
    char date[EARSHOT_DATE];
    earshot_day_text(day, date);
    return put_text(object, key, date[0] ? date : NULL);
}

/* ---- arrays of like objects ---- */

typedef bool fill_object(json_t *object, const void *context, size_t i);

static json_t *array_of(const void *context, size_t n, fill_object *fill)
{
    json_t *array = json_array();
    for (size_t i = 0; array && i < n; i++) {
        json_t *object = json_object();
        const bool whole = object && fill(object, context, i);
        if (whole && json_array_append_new(array, object) == 0) continue;
        if (!whole) json_decref(object);
        json_decref(array);
        return NULL;
    }
    return array;
}

static bool fill_reading(json_t *o, const void *context, size_t i)
{
    const earshot_calibration *c = context;
    const earshot_reading *r = &c->readings->reading[i];
    const earshot_reading_fit *fit = &c->reading[i];
    const bool bound = r->unit == EARSHOT_LEVEL_NONE;
    const char *device = r->device == EARSHOT_NONE ? NULL : c->plan->device[r->device].name;
    return put_count(o, "line", r->line) && put_text(o, "device", device) && put_number(o, "x_m", r->at.x_m) &&
           put_number(o, "y_m", r->at.y_m) && put_number(o, "z_m", r->at.z_m) &&
           put_text(o, "receiver", c->plan->receiver[r->receiver].name) &&
           put_number(o, "band_mhz", r->frequency_hz / 1e6) && put_date(o, "date", r->day) &&
           put(o, "heard", bound ? json_boolean(r->heard) : json_null()) &&
           put_number(o, "measured_dbm", fit->measured_dbm) && put_number(o, "bound_dbm", fit->bound_dbm) &&
           put_number(o, "foretold_dbm", fit->predicted_dbm) && put_number(o, "residual_db", fit->residual_db) &&
           put_number(o, "fitted_dbm", fit->fitted_dbm) && put_number(o, "after_db", fit->after_db) &&
           put_number(o, "left_out_db", fit->left_out_db) &&
           put_number(o, "left_out_sigma_db", fit->left_out_sigma_db) && put_number(o, "trust", fit->trust) &&
           put_text(o, "flag", es_reading_word(fit->flag)) && put_text(o, "note", r->note);
}

static bool fill_material(json_t *o, const void *context, size_t i)
{
    const earshot_calibration *c = context;
    const earshot_material_fit *m = &c->material[i];
    json_t *correlation = json_array();
    for (size_t j = 0; correlation && j < c->n_materials; j++)
        if (json_array_append_new(correlation, es_json_number(c->correlation[i * c->n_materials + j], 4)) != 0) {
            json_decref(correlation);
            return false;
        }
    return put(o, "correlation", correlation) && put_text(o, "name", c->plan->material[m->material].name) &&
           put_count(o, "readings", m->readings) && put_number(o, "correction_db", m->correction_db) &&
           put_number(o, "before_db", m->before_db) && put_number(o, "before_sigma_db", m->before_sigma_db) &&
           put_number(o, "after_db", m->after_db) && put_number(o, "after_sigma_db", m->after_sigma_db) &&
           put(o, "not_told_apart", m->group == EARSHOT_NONE ? json_null() : json_integer(m->group));
}

static bool fill_group(json_t *o, const void *context, size_t i)
{
    const earshot_calibration *c = context;
    const earshot_material_group *g = &c->group[i];
    return put_count(o, "number", i) && put_count(o, "materials", g->n) &&
           put(o, "with_offset", json_boolean(g->with_offset)) && put_number(o, "together_db", g->together_db) &&
           put_number(o, "together_sigma_db", g->together_sigma_db);
}

/* ---- devices ---- */

typedef struct pair {
    const earshot_check *before, *after;
} pair;

static bool fill_device(json_t *o, const void *context, size_t i)
{
    const pair *p = context;
    const earshot_decision *was = &p->before->device[i], *is = &p->after->device[i];
    const bool judged = is->link.loss.distance_m > 0.0;
    return put_text(o, "name", earshot_site_plan(p->before->site)->device[i].name) &&
           put_text(o, "verdict_before", earshot_verdict_name(was->verdict)) &&
           put_text(o, "verdict_after", earshot_verdict_name(is->verdict)) &&
           put_number(o, "margin_before_db", judged ? was->link.margin_db : NAN) &&
           put_number(o, "margin_after_db", judged ? is->link.margin_db : NAN) &&
           put_number(o, "uncertainty_before_db", judged ? was->link.uncertainty_db : NAN) &&
           put_number(o, "uncertainty_after_db", judged ? is->link.uncertainty_db : NAN) &&
           put_number(o, "dependable_before_db", judged ? was->link.dependable_db : NAN) &&
           put_number(o, "dependable_after_db", judged ? is->link.dependable_db : NAN);
}

static bool fill_check(json_t *o, const void *context, size_t i)
{
    const pair *all = context;
    const pair one = {&all->before[i], &all->after[i]};
    const earshot_plan *plan = earshot_site_plan(one.before->site);
    return put_number(o, "band_mhz", one.before->frequency_hz / 1e6) &&
           put_text(o, "receiver", plan->receiver[one.before->receiver].name) &&
           put(o, "devices", array_of(&one, one.before->n_devices, fill_device));
}

/* ---- visits ---- */

typedef struct trends {
    const earshot_plan *plan;
    const earshot_visits *visits;
} trends;

static bool fill_trend(json_t *o, const void *context, size_t i)
{
    const trends *all = context;
    const earshot_trend *t = &all->visits->trend[i];
    return put_text(o, "device", all->plan->device[t->device].name) &&
           put_text(o, "receiver", all->plan->receiver[t->receiver].name) &&
           put_number(o, "band_mhz", t->frequency_hz / 1e6) && put_count(o, "visits", t->visits) &&
           put_date(o, "first", t->first_day) && put_date(o, "last", t->last_day) &&
           put_number(o, "first_dbm", t->first_dbm) && put_number(o, "last_dbm", t->last_dbm) &&
           put_number(o, "margin_db", t->margin_db) && put_number(o, "change_db", t->change_db) &&
           put_number(o, "change_sigma_db", t->change_sigma_db) && put_number(o, "slope_db_year", t->slope_db_year) &&
           put_number(o, "slope_sigma_db_year", t->slope_sigma_db_year) && put_text(o, "flag", es_trend_word(t->flag));
}

/* ---- the whole ---- */

static bool put_rest(json_t *o, const earshot_calibration *c)
{
    return put_number(o, "offset_db", c->offset_db) && put_number(o, "offset_sigma_db", c->offset_sigma_db) &&
           put_number(o, "noise_db", c->noise_db) && put(o, "noise_estimated", json_boolean(c->noise_estimated)) &&
           put_count(o, "places", c->n_places) && put_number(o, "left_sigma_db", c->left_sigma_db) &&
           put_number(o, "left_length_m", c->length_m) && put(o, "left_estimated", json_boolean(c->left_estimated)) &&
           put_number(o, "scale_0_dbm", c->scale_used ? c->scale_low_dbm : NAN) &&
           put_number(o, "scale_100_dbm", c->scale_used ? c->scale_high_dbm : NAN) &&
           put(o, "scale_fitted", json_boolean(c->scale_fitted)) && put_number(o, "rms_before_db", c->rms_before_db) &&
           put_number(o, "rms_after_db", c->rms_after_db) && put_number(o, "rms_left_out_db", c->rms_left_out_db) &&
           put(o, "settled", json_boolean(c->settled));
}

static int add_piece(const char *buffer, size_t size, void *context)
{
    earshot_text *text = context;
    es_text_add_bytes(text, buffer, size);
    return text->failed ? -1 : 0;
}

earshot_status earshot_json_calibration(const earshot_calibration *calibration, const earshot_check *before,
                                        const earshot_check *after, size_t n_checks, const earshot_visits *visits,
                                        earshot_text *text)
{
    const earshot_calibration *c = calibration;
    const pair checks = {before, after};
    const trends all = {c->plan, visits};
    json_t *root = json_object();
    const bool whole = put_text(root, "earshot", EARSHOT_VERSION) && put_text(root, "site", c->plan->site) &&
                       put_text(root, "model", earshot_model_name(c->options.model)) &&
                       put_text(root, "scene", earshot_site_scene(c->before)) && put_rest(root, c) &&
                       put(root, "readings", array_of(c, c->readings->n, fill_reading)) &&
                       put(root, "materials", array_of(c, c->n_materials, fill_material)) &&
                       put(root, "not_told_apart", array_of(c, c->n_groups, fill_group)) &&
                       put(root, "checks", array_of(&checks, n_checks, fill_check)) &&
                       put(root, "visits", array_of(&all, visits->n, fill_trend)) &&
                       json_dump_callback(root, add_piece, text, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(root);
    if (!whole) return EARSHOT_MEMORY;
    es_text_add_char(text, '\n');
    return text->failed ? EARSHOT_MEMORY : EARSHOT_OK;
}
