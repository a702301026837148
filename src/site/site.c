/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "site/site.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/error.h"
#include "base/number.h"
#include "site/build.h"

static const double DEFAULT_SPREAD_DB = 3.0; /* what plan.h promises where a material states none */
static const double BAND_TOLERANCE_HZ = 2e6; /* what site.h promises */

static const char *text_or_empty(const char *text)
{
    return text ? text : "";
}

/* The names of all scenes, for a message: "'day', 'closed-shutters'". */
static void list_scenes(const earshot_plan *plan, char *list, size_t size)
{
    size_t used = 0;
    list[0] = '\0';
    for (size_t i = 0; i < plan->n_scenes && used + 1 < size; i++) {
        const int length = es_format(list + used, size - used, "%s'%s'", i ? ", " : "", plan->scene[i].name);
        if (length < 0) return;
        used += (size_t)length;
    }
}

static earshot_status find_scene(const earshot_plan *plan, const char *name, const earshot_scene **scene,
                                 earshot_error *error)
{
    for (size_t i = 0; i < plan->n_scenes; i++) {
        if (strcmp(plan->scene[i].name, name) != 0) continue;
        *scene = &plan->scene[i];
        return EARSHOT_OK;
    }
    char list[160];
    list_scenes(plan, list, sizeof list);
    if (!plan->n_scenes)
        return es_fail(error, EARSHOT_NO_SUCH_NAME, "leave the scene out", "no scene '%s': the plan has no scenes",
                       name);
    return es_fail(error, EARSHOT_NO_SUCH_NAME, "use one of the plan's scenes, or none",
                   "no scene '%s'; the plan has %s", name, list);
}

static const earshot_electrical *find_electrical(const earshot_plan *plan, const char *name)
{
    for (size_t i = plan->n_electricals; i-- > 0;)
        if (strcmp(plan->electrical[i].name, name) == 0) return &plan->electrical[i];
    return NULL;
}

static bool resolve_layer(const earshot_plan *plan, const char *name, double thickness_m, es_layer *layer,
                          earshot_error *error)
{
    const earshot_electrical *e = find_electrical(plan, name);
    if (!e) {
        es_fail(error, EARSHOT_NO_SUCH_NAME, "state it with 'electrical'", "no electrical class '%s'", name);
        return false;
    }
    *layer = (es_layer){.a = e->a,
                        .b = e->b,
                        .c = e->c,
                        .d = e->d,
                        .from_hz = e->from_hz,
                        .to_hz = e->to_hz,
                        .thickness_m = thickness_m,
                        .conductor = e->conductor};
    return true;
}

static earshot_status resolve_material(const earshot_plan *plan, const earshot_material *stated, es_arena *arena,
                                       es_material *material, earshot_error *error)
{
    es_layer *layer = es_arena_take(arena, stated->n_layers, sizeof *layer);
    if (!layer) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    *material = (es_material){.layer = layer,
                              .n_layers = stated->n_layers,
                              .loss = stated->loss,
                              .n_losses = stated->n_losses,
                              .spread_db = isnan(stated->spread_db) ? DEFAULT_SPREAD_DB : stated->spread_db,
                              .basis = stated->basis};
    for (size_t i = 0; i < stated->n_layers; i++) {
        const earshot_layer *from = &stated->layer[i];
        if (!resolve_layer(plan, from->electrical, from->thickness_m, &layer[i], error)) return EARSHOT_NO_SUCH_NAME;
        material->thickness_m += from->thickness_m;
    }
    return EARSHOT_OK;
}

static earshot_status resolve_materials(earshot_site *site, earshot_error *error)
{
    const earshot_plan *plan = site->plan;
    site->material = es_arena_take(site->arena, plan->n_materials, sizeof *site->material);
    if (!site->material) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    for (size_t i = 0; i < plan->n_materials; i++) {
        const earshot_status status =
            resolve_material(plan, &plan->material[i], site->arena, &site->material[i], error);
        if (status) return status;
    }
    return EARSHOT_OK;
}

static earshot_status resolve_ground(earshot_site *site, earshot_error *error)
{
    if (!site->plan->ground) return EARSHOT_OK;
    es_layer *ground = es_arena_take(site->arena, 1, sizeof *ground);
    if (!ground) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    if (!resolve_layer(site->plan, site->plan->ground, 0.0, ground, error)) return EARSHOT_NO_SUCH_NAME;
    site->structure.ground = ground;
    return EARSHOT_OK;
}

static earshot_status make(earshot_site *site, const char *scene_name, earshot_error *error)
{
    const earshot_scene *scene = NULL;
    earshot_status status = scene_name ? find_scene(site->plan, scene_name, &scene, error) : EARSHOT_OK;
    if (status) return status;
    site->scene = scene ? scene->name : NULL;
    status = resolve_materials(site, error);
    if (!status) status = resolve_ground(site, error);
    if (!status) status = es_site_build(site, scene, error);
    if (status) return status;
    site->structure.geometry = site->geometry;
    site->structure.material = site->material;
    site->structure.n_materials = site->plan->n_materials;
    site->structure.element = site->element;
    return EARSHOT_OK;
}

static void correct(earshot_site *site, const earshot_material_correction *correction)
{
    for (size_t i = 0; i < site->plan->n_materials; i++) {
        site->material[i].correction_db = correction[i].loss_db;
        if (!isnan(correction[i].spread_db)) site->material[i].spread_db = correction[i].spread_db;
    }
}

static bool are_corrections(const earshot_plan *plan, const earshot_material_correction *correction)
{
    for (size_t i = 0; i < plan->n_materials; i++)
        if (!isfinite(correction[i].loss_db) || correction[i].spread_db < 0.0 || isinf(correction[i].spread_db))
            return false;
    return true;
}

earshot_status earshot_site_new_corrected(const earshot_plan *plan, const char *scene,
                                          const earshot_material_correction *correction, earshot_site **site,
                                          earshot_error *error)
{
    if (site) *site = NULL;
    if (!plan || !correction || !are_corrections(plan, correction))
        return es_fail(error, EARSHOT_ARGUMENT, NULL, "no corrections, or one that is not a number");
    const earshot_status status = earshot_site_new(plan, scene, site, error);
    if (!status) correct(*site, correction);
    return status;
}

void earshot_site_adjust(earshot_site *site, earshot_adjust *adjust, const void *context)
{
    site->adjust = adjust;
    site->adjust_context = context;
}

earshot_status earshot_site_new(const earshot_plan *plan, const char *scene, earshot_site **site, earshot_error *error)
{
    if (!site) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no place for the site");
    *site = NULL;
    if (!plan) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no plan");
    earshot_site *made = calloc(1, sizeof *made);
    if (!made) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    made->plan = plan;
    made->arena = es_arena_new();
    const earshot_status status =
        made->arena ? make(made, scene, error) : es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    if (status) {
        earshot_site_free(made);
        return status;
    }
    *site = made;
    return EARSHOT_OK;
}

void earshot_site_free(earshot_site *site)
{
    if (!site) return;
    es_geometry_free(site->geometry);
    es_arena_free(site->arena);
    free(site);
}

const char *earshot_site_scene(const earshot_site *site)
{
    return site->scene;
}

const earshot_plan *earshot_site_plan(const earshot_site *site)
{
    return site->plan;
}

size_t earshot_site_elements(const earshot_site *site)
{
    return site->n_elements;
}

earshot_element earshot_site_element(const earshot_site *site, size_t element)
{
    return site->element[element];
}

static earshot_vec3 position(const earshot_plan *plan, unsigned storey, earshot_point point, double at_m)
{
    return (earshot_vec3){point.x_m, point.y_m, plan->storey[storey].level_m + at_m};
}

earshot_vec3 earshot_site_device_at(const earshot_site *site, size_t device)
{
    const earshot_device *d = &site->plan->device[device];
    return position(site->plan, d->storey, d->point, d->at_m);
}

earshot_vec3 earshot_site_receiver_at(const earshot_site *site, size_t receiver)
{
    const earshot_receiver *r = &site->plan->receiver[receiver];
    return position(site->plan, r->storey, r->point, r->at_m);
}

earshot_vec3 earshot_site_mount_at(const earshot_site *site, size_t mount)
{
    const earshot_mount *m = &site->plan->mount[mount];
    return position(site->plan, m->storey, m->point, m->at_m);
}

const earshot_radio *earshot_site_radio(const earshot_site *site, const char *name, double frequency_hz)
{
    const earshot_plan *plan = site->plan;
    const earshot_radio *near = NULL, *any = NULL;
    double nearest_hz = BAND_TOLERANCE_HZ;
    for (size_t i = 0; i < plan->n_radios; i++) {
        const earshot_radio *radio = &plan->radio[i];
        if (strcmp(radio->name, text_or_empty(name)) != 0) continue;
        const double off_hz = fabs(radio->band_hz - frequency_hz);
        if (isnan(radio->band_hz)) any = any ? any : radio;
        if (off_hz > nearest_hz || isnan(off_hz) || (near && off_hz == nearest_hz)) continue;
        near = radio;
        nearest_hz = off_hz;
    }
    return near ? near : any;
}

earshot_status earshot_crossings(const earshot_site *site, earshot_vec3 a, earshot_vec3 b, earshot_crossing *crossing,
                                 size_t limit, size_t *n)
{
    if (!site || !n || (limit && !crossing)) return EARSHOT_ARGUMENT;
    const double ends[] = {a.x_m, a.y_m, a.z_m, b.x_m, b.y_m, b.z_m};
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++)
        if (!isfinite(ends[i])) return EARSHOT_ARGUMENT;
    return es_geometry_crossings(site->geometry, a, b, crossing, limit, n);
}
