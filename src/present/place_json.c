/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Placements as JSON. */
#include <math.h>

#include "base/text.h"
#include "earshot/place.h"
#include "earshot/present.h"
#include "earshot/version.h"
#include "present/json.h"
#include "present/place_words.h"

enum { DIGITS = 15 };

/* A fault anywhere fails the whole: memory is out. */
typedef struct maker {
    bool failed;
} maker;

static void put(maker *m, json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value)) m->failed = true;
}

static void put_number(maker *m, json_t *object, const char *key, double value)
{
    put(m, object, key, es_json_number(value, 3));
}

static void put_count(maker *m, json_t *object, const char *key, size_t n)
{
    put(m, object, key, json_integer((json_int_t)n));
}

static void put_text(maker *m, json_t *object, const char *key, const char *value)
{
    put(m, object, key, es_json_text(value));
}

static void append(maker *m, json_t *array, json_t *item)
{
    if (json_array_append_new(array, item)) m->failed = true;
}

static json_t *spot_json(maker *m, const earshot_placement *p, size_t spot)
{
    const earshot_spot *s = &p->spot[spot];
    json_t *o = json_object();
    put_text(m, o, "name", s->name);
    put_text(m, o, "label", s->label);
    put_text(m, o, "storey", p->plan->storey[s->storey].name);
    put_number(m, o, "x_m", s->point.x_m);
    put_number(m, o, "y_m", s->point.y_m);
    put_number(m, o, "at_m", s->at_m);
    return o;
}

static json_t *cable_json(maker *m, const earshot_cable *c)
{
    if (!c->n_points) return json_null();
    json_t *o = json_object(), *route = json_array();
    put_number(m, o, "length_m", c->length_m);
    put_number(m, o, "outdoor_m", c->outdoor_m);
    put_count(m, o, "walls", c->walls);
    put_count(m, o, "slabs", c->slabs);
    put_number(m, o, "cost", c->cost);
    put_number(m, o, "current_a", c->current_a);
    put_number(m, o, "section_mm2", c->section_mm2);
    put_number(m, o, "arrives_v", c->far_v);
    put(m, o, "serves", json_boolean(c->serves));
    for (size_t i = 0; i < c->n_points; i++) {
        json_t *point = json_array();
        append(m, point, es_json_number(c->point[i].x_m, 2));
        append(m, point, es_json_number(c->point[i].y_m, 2));
        append(m, point, es_json_number(c->point[i].z_m, 2));
        append(m, route, point);
    }
    put(m, o, "route", route);
    return o;
}

static json_t *device_json(maker *m, const earshot_placement *p, const earshot_choice *c, size_t d)
{
    const earshot_placed *placed = &c->device[d];
    json_t *o = json_object();
    put_text(m, o, "name", p->plan->device[d].name);
    put_text(m, o, "verdict", placed->served ? earshot_verdict_name(placed->verdict) : NULL);
    put_text(m, o, "repeater", placed->spot == EARSHOT_NONE ? NULL : p->spot[placed->spot].name);
    put_number(m, o, "dependable_db", placed->dependable_db);
    put(m, o, "cable", cable_json(m, &placed->cable));
    return o;
}

static json_t *repeater_json(maker *m, const earshot_placement *p, const earshot_repeater *r)
{
    json_t *o = spot_json(m, p, r->spot);
    put_text(m, o, "reports_to", r->reports_to == EARSHOT_NONE ? NULL : p->spot[r->reports_to].name);
    put_number(m, o, "dependable_db", r->dependable_db);
    put_count(m, o, "devices", r->n_devices);
    put(m, o, "fitted", json_boolean(p->spot[r->spot].fitted));
    return o;
}

static json_t *load_json(maker *m, const earshot_load *load)
{
    json_t *o = json_object();
    put(m, o, "offered", es_json_number(load->offered, 6));
    put(m, o, "collision", es_json_number(load->collision, 6));
    put_text(m, o, "busiest", load->busiest);
    put(m, o, "busiest_duty", es_json_number(load->busiest_duty, 6));
    put(m, o, "duty_limit", es_json_number(load->duty_limit, 6));
    put(m, o, "crowded", json_boolean(load->crowded));
    put(m, o, "too_often", json_boolean(load->too_often));
    return o;
}

static json_t *choice_json(maker *m, const earshot_placement *p, const earshot_choice *c)
{
    json_t *o = json_object(), *repeaters = json_array(), *devices = json_array();
    put(m, o, "receiver", spot_json(m, p, c->spot));
    put_number(m, o, "cost", c->cost);
    put_number(m, o, "cost_bound", c->cost_bound);
    put(m, o, "proven", json_boolean(c->proven));
    put_number(m, o, "weakest_db", c->worst_db);
    put_count(m, o, "without_a_way", c->n_unserved);
    put_count(m, o, "expanders", c->expanders);
    for (size_t i = 0; i < c->n_repeaters; i++) append(m, repeaters, repeater_json(m, p, &c->repeater[i]));
    for (size_t d = 0; d < c->n_devices; d++) append(m, devices, device_json(m, p, c, d));
    put(m, o, "repeaters", repeaters);
    put(m, o, "devices", devices);
    put(m, o, "channel", load_json(m, &c->load));
    return o;
}

static json_t *reason_json(maker *m, const earshot_placement *p, const earshot_reason *r)
{
    json_t *o = json_object();
    earshot_text words = {0};
    es_reason_words(p, r, &words);
    if (words.failed) m->failed = true;
    put_text(m, o, "device", r->device == EARSHOT_NONE ? NULL : p->plan->device[r->device].name);
    put_count(m, o, "amount", r->amount);
    put_number(m, o, "short_db", r->short_db);
    put_text(m, o, "words", words.data);
    earshot_text_clear(&words);
    return o;
}

static json_t *placement_json(maker *m, const earshot_placement *p)
{
    json_t *o = json_object(), *scenes = json_array(), *choices = json_array(), *reasons = json_array();
    put_number(m, o, "band_mhz", p->frequency_hz / 1e6);
    put_text(m, o, "model", earshot_model_name(p->model));
    for (size_t i = 0; i < p->n_sites; i++) append(m, scenes, es_json_text(earshot_site_scene(p->site[i])));
    for (size_t i = 0; i < p->n_choices; i++) append(m, choices, choice_json(m, p, &p->choice[i]));
    for (size_t i = 0; i < p->n_reasons; i++) append(m, reasons, reason_json(m, p, &p->reason[i]));
    put(m, o, "scenes", scenes);
    put(m, o, "proven", json_boolean(p->proven));
    put_number(m, o, "cost_bound", p->cost_bound);
    put(m, o, "choices", choices);
    put(m, o, "in_the_way", reasons);
    return o;
}

static int add_piece(const char *buffer, size_t size, void *context)
{
    earshot_text *text = context;
    es_text_add_bytes(text, buffer, size);
    return text->failed ? -1 : 0;
}

earshot_status earshot_json_placement(const earshot_placement *placement, size_t n, earshot_text *text)
{
    maker m = {false};
    json_t *root = json_object(), *array = json_array();
    for (size_t i = 0; i < n; i++) append(&m, array, placement_json(&m, &placement[i]));
    put_text(&m, root, "earshot", EARSHOT_VERSION);
    put_text(&m, root, "site", n ? placement->plan->site : NULL);
    put(&m, root, "placements", array);
    if (!m.failed && json_dump_callback(root, add_piece, text, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)))
        m.failed = true;
    json_decref(root);
    if (m.failed) return EARSHOT_MEMORY;
    es_text_add_char(text, '\n');
    return text->failed ? EARSHOT_MEMORY : EARSHOT_OK;
}
