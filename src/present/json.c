/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/json.h"

#include <math.h>

#include "base/text.h"
#include "earshot/present.h"
#include "earshot/version.h"
#include "present/words.h"

/* Enough digits for what we round to, few enough that 12.34 is not printed as 12.339999999999999. */
enum { DIGITS = 15 };

json_t *es_json_number(double value, int decimals)
{
    if (!isfinite(value)) return json_null();
    const double scale = pow(10.0, decimals);
    const double rounded = round(value * scale) / scale;
    return json_real(rounded == 0.0 ? 0.0 : rounded);
}

json_t *es_json_text(const char *value)
{
    return value ? json_string(value) : json_null();
}

/* Takes over the value; false when either is missing, as memory is out. */
static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0;
}

static bool put_number(json_t *object, const char *key, double value)
{
    return put(object, key, es_json_number(value, 3));
}

static bool put_text(json_t *object, const char *key, const char *value)
{
    return put(object, key, es_json_text(value));
}

/* Takes over the item if it is whole; frees it if not. */
static bool append(json_t *array, json_t *item, bool whole)
{
    if (whole) return json_array_append_new(array, item) == 0;
    json_decref(item);
    return false;
}

/* ---- devices ---- */

static json_t *direction(const earshot_direction *d)
{
    if (!d->used) return json_null();
    json_t *o = json_object();
    const bool whole = put_number(o, "erp_dbm", d->erp_dbm) && put_number(o, "gain_dbi", d->gain_dbi) &&
                       put_number(o, "level_dbm", d->level_dbm) && put_number(o, "noise_dbm", d->noise_dbm) &&
                       put_number(o, "threshold_dbm", d->threshold_dbm) && put_number(o, "margin_db", d->margin_db);
    if (whole) return o;
    json_decref(o);
    return NULL;
}

static bool put_link(json_t *o, const earshot_link *link)
{
    const bool judged = link->out.used || link->back.used;
    const struct {
        const char *key;
        double value;
    } term[] = {
        {"distance_m", link->loss.distance_m},
        {"free_space_db", link->loss.free_space_db},
        {"path_loss_db", link->loss.loss_db},
        {"mounting_db", link->mounting_db},
        {"body_db", link->body_db},
        {"margin_db", link->margin_db},
        {"material_sigma_db", link->loss.material_sigma_db},
        {"model_sigma_db", link->loss.model_sigma_db},
        {"fading_db", link->fading_db},
        {"allowance_db", link->allowance_db},
        {"dependable_db", link->dependable_db},
    };
    bool whole = true;
    for (size_t i = 0; i < sizeof term / sizeof term[0]; i++)
        whole = whole && put_number(o, term[i].key, judged ? term[i].value : NAN);
    return whole && put(o, "to_receiver", direction(&link->out)) && put(o, "to_device", direction(&link->back));
}

static bool put_repeater(json_t *o, const earshot_check *check, const earshot_decision *d)
{
    if (d->mount == EARSHOT_NONE) return put(o, "repeater", json_null());
    json_t *r = json_object();
    const bool whole = put_text(r, "mount", earshot_site_plan(check->site)->mount[d->mount].name) &&
                       put_number(r, "device_dependable_db", d->to_mount.dependable_db) &&
                       put_number(r, "receiver_dependable_db", check->mount[d->mount].dependable_db);
    if (whole) return put(o, "repeater", r);
    json_decref(r);
    return false;
}

static bool put_device(json_t *o, const earshot_check *check, size_t device)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    const earshot_device *d = &plan->device[device];
    const earshot_vec3 at = earshot_site_device_at(check->site, device);
    const earshot_decision *decision = &check->device[device];
    return put_text(o, "name", d->name) && put_text(o, "label", d->label) &&
           put_text(o, "kind", earshot_kind_name(d->kind)) && put_text(o, "storey", plan->storey[d->storey].name) &&
           put_number(o, "x_m", at.x_m) && put_number(o, "y_m", at.y_m) && put_number(o, "z_m", at.z_m) &&
           put_link(o, &decision->link) && put_text(o, "verdict", earshot_verdict_name(decision->verdict)) &&
           put_repeater(o, check, decision) && put(o, "cannot_be_wired", json_boolean(decision->unwirable));
}

static json_t *devices(const earshot_check *check)
{
    json_t *array = json_array();
    for (size_t i = 0; i < check->n_devices; i++) {
        json_t *o = json_object();
        if (append(array, o, put_device(o, check, i))) continue;
        json_decref(array);
        return NULL;
    }
    return array;
}

/* ---- capacity ---- */

static bool put_capacity(json_t *o, const earshot_check *check, size_t capacity)
{
    const earshot_capacity *c = &earshot_site_plan(check->site)->capacity[capacity];
    const unsigned used = es_capacity_used(check, capacity);
    json_t *kinds = json_array();
    bool whole = true;
    for (int kind = 0; kind < EARSHOT_KINDS; kind++)
        if (c->kinds >> kind & 1u)
            whole = whole && json_array_append_new(kinds, es_json_text(earshot_kind_name((earshot_kind)kind))) == 0;
    return put(o, "kinds", kinds) && whole && put(o, "used", json_integer(used)) &&
           put(o, "holds", json_integer(c->count)) && put(o, "over", json_boolean(used > c->count));
}

static json_t *capacities(const earshot_check *check)
{
    json_t *array = json_array();
    for (size_t i = 0; i < earshot_site_plan(check->site)->n_capacities; i++) {
        if (!es_capacity_applies(check, i)) continue;
        json_t *o = json_object();
        if (append(array, o, put_capacity(o, check, i))) continue;
        json_decref(array);
        return NULL;
    }
    return array;
}

/* ---- the whole ---- */

static json_t *need(const earshot_check *check)
{
    json_t *o = json_object();
    if (put_number(o, "margin_db", check->need.margin_db) &&
        put(o, "confidence", es_json_number(check->need.confidence, 6)))
        return o;
    json_decref(o);
    return NULL;
}

static bool put_check(json_t *o, const earshot_check *check)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    return put_number(o, "band_mhz", check->frequency_hz / 1e6) &&
           put_text(o, "scene", earshot_site_scene(check->site)) &&
           put_text(o, "model", earshot_model_name(check->model)) &&
           put_text(o, "receiver", plan->receiver[check->receiver].name) && put(o, "need", need(check)) &&
           put(o, "all_direct", json_boolean(check->all_direct)) && put(o, "devices", devices(check)) &&
           put(o, "capacity", capacities(check));
}

static bool put_checks(json_t *root, const earshot_check *check, size_t n_checks)
{
    json_t *array = json_array();
    bool whole = array != NULL;
    for (size_t i = 0; whole && i < n_checks; i++) {
        json_t *o = json_object();
        whole = append(array, o, put_check(o, &check[i]));
    }
    if (whole) return put(root, "checks", array);
    json_decref(array);
    return false;
}

static int add_piece(const char *buffer, size_t size, void *context)
{
    earshot_text *text = context;
    es_text_add_bytes(text, buffer, size);
    return text->failed ? -1 : 0;
}

earshot_status earshot_json_check(const earshot_check *check, size_t n_checks, earshot_text *text)
{
    json_t *root = json_object();
    const char *site = n_checks ? earshot_site_plan(check->site)->site : NULL;
    const bool whole = put_text(root, "earshot", EARSHOT_VERSION) && put_text(root, "site", site) &&
                       put_checks(root, check, n_checks) &&
                       json_dump_callback(root, add_piece, text, JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(root);
    if (!whole) return EARSHOT_MEMORY;
    es_text_add_char(text, '\n');
    return text->failed ? EARSHOT_MEMORY : EARSHOT_OK;
}
