/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/csv.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "present/materials.h"
#include "present/obstacles.h"
#include "present/words.h"

/* Spreadsheets run what begins like a formula, and a label may come from anybody. A bare name, such as -12, is none. */
static bool looks_like_formula(const char *value)
{
    static const char NAME[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_";
    return *value && strchr("=+-@", *value) && value[strspn(value, NAME)];
}

/* RFC 4180, section 2: fields with commas, quotes or line breaks stand in quotes, and a quote is doubled. */
void es_csv_text(earshot_text *text, bool first, const char *value)
{
    if (!first) es_text_add_char(text, ',');
    if (!value) return;
    const char *guard = looks_like_formula(value) ? "'" : "";
    if (!strpbrk(value, ",\"\r\n")) {
        es_text_format(text, "%s%s", guard, value);
        return;
    }
    es_text_format(text, "\"%s", guard);
    for (; *value; value++) {
        if (*value == '"') es_text_add_char(text, '"');
        es_text_add_char(text, *value);
    }
    es_text_add_char(text, '"');
}

void es_csv_number(earshot_text *text, double value, int decimals)
{
    char figure[ES_FIGURE];
    es_text_add_char(text, ',');
    if (isfinite(value)) es_text_add(text, es_figure(figure, value, decimals));
}

void es_csv_end(earshot_text *text)
{
    es_text_add(text, "\r\n");
}

/* ---- devices ---- */

static void add_conditions(const earshot_check *check, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    es_csv_text(text, true, plan->site);
    es_csv_number(text, check->frequency_hz / 1e6, 3);
    es_csv_text(text, false, earshot_site_scene(check->site));
    es_csv_text(text, false, earshot_model_name(check->model));
    es_csv_text(text, false, plan->receiver[check->receiver].name);
}

static void add_place(const earshot_check *check, size_t device, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    const earshot_device *d = &plan->device[device];
    const earshot_vec3 at = earshot_site_device_at(check->site, device);
    es_csv_text(text, false, d->name);
    es_csv_text(text, false, d->label);
    es_csv_text(text, false, earshot_kind_name(d->kind));
    es_csv_text(text, false, plan->storey[d->storey].name);
    es_csv_number(text, at.x_m, 3);
    es_csv_number(text, at.y_m, 3);
    es_csv_number(text, at.z_m, 3);
}

/* The direction that decides: the worse one. */
static const earshot_direction *deciding(const earshot_link *link)
{
    if (!link->out.used) return &link->back;
    return link->back.used && link->back.margin_db < link->out.margin_db ? &link->back : &link->out;
}

static void add_budget(const earshot_check *check, size_t device, earshot_text *text)
{
    const earshot_link *link = &check->device[device].link;
    const earshot_direction *d = deciding(link);
    const double value[] = {
        link->loss.distance_m, link->loss.free_space_db, link->loss.loss_db, link->mounting_db,    link->body_db,
        d->level_dbm,          d->threshold_dbm,         link->margin_db,    link->uncertainty_db, link->fading_db,
        link->allowance_db,    link->dependable_db};
    for (size_t i = 0; i < sizeof value / sizeof value[0]; i++) es_csv_number(text, d->used ? value[i] : NAN, 2);
    es_csv_text(text, false, !d->used ? "" : d == &link->out ? "to receiver" : "to device");
}

static void add_strongest(const earshot_check *check, size_t device, earshot_text *text)
{
    const earshot_site *site = check->site;
    es_obstacles o;
    const earshot_status status =
        es_obstacles_find(site, earshot_site_device_at(site, device), earshot_site_receiver_at(site, check->receiver),
                          check->frequency_hz, &o);
    if (status == EARSHOT_MEMORY) text->failed = true;
    es_csv_number(text, status ? NAN : (double)o.n, 0);
    if (o.n) {
        const size_t material = earshot_site_element(site, o.item[o.strongest].element).material;
        es_csv_text(text, false, earshot_site_plan(site)->material[material].name);
        es_csv_number(text, o.item[o.strongest].loss_db, 2);
    } else {
        es_text_add(text, ",,");
    }
    es_obstacles_clear(&o);
}

static void add_device(const earshot_check *check, size_t device, earshot_text *text)
{
    const earshot_decision *d = &check->device[device];
    add_conditions(check, text);
    add_place(check, device, text);
    add_budget(check, device, text);
    add_strongest(check, device, text);
    es_csv_number(text, check->need.margin_db, 2);
    es_csv_text(text, false, earshot_verdict_name(d->verdict));
    es_csv_text(text, false, d->mount == EARSHOT_NONE ? NULL : earshot_site_plan(check->site)->mount[d->mount].name);
    es_csv_end(text);
}

void earshot_csv_check(const earshot_check *check, size_t n_checks, earshot_text *text)
{
    es_text_add(text, "site,band_mhz,scene,model,receiver,device,label,kind,storey,x_m,y_m,z_m,distance_m,"
                      "free_space_db,path_loss_db,mounting_db,body_db,level_dbm,threshold_dbm,margin_db,"
                      "uncertainty_db,fading_db,allowance_db,dependable_db,decided_by,obstacles,strongest,"
                      "strongest_db,need_db,verdict,repeater_at\r\n");
    for (size_t i = 0; i < n_checks; i++)
        for (size_t device = 0; device < check[i].n_devices; device++) add_device(&check[i], device, text);
}

/* ---- cells ---- */

void earshot_csv_grid(const earshot_site *site, const earshot_grid *grid, earshot_text *text)
{
    const char *storey = earshot_site_plan(site)->storey[grid->storey].name;
    es_text_add(text, "storey,x_m,y_m,z_m,margin_db,dependable_db\r\n");
    for (size_t row = 0; row < grid->rows; row++) {
        for (size_t column = 0; column < grid->columns; column++) {
            const size_t i = row * grid->columns + column;
            es_csv_text(text, true, storey);
            es_csv_number(text, grid->x0_m + ((double)column + 0.5) * grid->cell_x_m, 3);
            es_csv_number(text, grid->y0_m + ((double)(grid->rows - row) - 0.5) * grid->cell_y_m, 3);
            es_csv_number(text, grid->z_m, 3);
            es_csv_number(text, grid->margin_db[i], 2);
            es_csv_number(text, grid->dependable_db[i], 2);
            es_csv_end(text);
        }
    }
}

/* ---- materials ---- */

void earshot_csv_materials(const earshot_site *site, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(site);
    es_text_add(text, "material,label,band_mhz,loss_db,spread_db,basis,source\r\n");
    for (size_t i = 0; i < plan->n_materials; i++) {
        for (size_t band = 0; band < plan->n_bands; band++) {
            earshot_basis basis = EARSHOT_BASIS_UNSTATED;
            const double loss_db = earshot_material_loss_db(site, i, plan->band_hz[band], &basis);
            es_csv_text(text, true, plan->material[i].name);
            es_csv_text(text, false, plan->material[i].label);
            es_csv_number(text, plan->band_hz[band] / 1e6, 3);
            es_csv_number(text, loss_db, 2);
            es_csv_number(text, earshot_material_spread_db(site, i), 2);
            es_csv_text(text, false, es_basis_word(basis));
            es_csv_text(text, false, plan->material[i].source);
            es_csv_end(text);
        }
    }
}
