/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The field of one transmitting place: the interface in front of the models, and what they need of a site. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "propagation/rays.h"
#include "site/site.h"

static const double LOWEST_HZ = 100e6, HIGHEST_HZ = 6e9; /* what propagation.h promises */

/* The direct model has one path, and a pattern's null would silence it; indoors echoes from all sides fill a null.
 * 10 dB below isotropic is our judgement, no source. */
static const double DEEPEST_NULL_DBI = -10.0;

struct earshot_field {
    const earshot_site *site;
    earshot_model model;
    double frequency_hz;
    earshot_vec3 source;
    earshot_antenna antenna;
    es_rays_field *rays; /* NULL: the direct model */
};

const char *earshot_model_name(earshot_model model)
{
    switch (model) {
    case EARSHOT_MODEL_DIRECT: return "direct";
    case EARSHOT_MODEL_RAYS: return "rays";
    }
    return NULL;
}

static bool is_finite_point(earshot_vec3 p)
{
    return isfinite(p.x_m) && isfinite(p.y_m) && isfinite(p.z_m);
}

static bool is_antenna(earshot_antenna antenna)
{
    return (int)antenna >= EARSHOT_ANTENNA_ISOTROPIC && (int)antenna <= EARSHOT_ANTENNA_DIPOLE_Y;
}

earshot_status earshot_field_new(const earshot_site *site, earshot_model model, double frequency_hz,
                                 earshot_vec3 source, earshot_antenna antenna, earshot_detail detail,
                                 earshot_field **field)
{
    if (!field) return EARSHOT_ARGUMENT;
    *field = NULL;
    if (!site || !is_finite_point(source) || !is_antenna(antenna)) return EARSHOT_ARGUMENT;
    if (!(frequency_hz >= LOWEST_HZ && frequency_hz <= HIGHEST_HZ)) return EARSHOT_ARGUMENT;
    if (!earshot_model_name(model)) return EARSHOT_ARGUMENT;
    if (detail != EARSHOT_DETAIL_LINK && detail != EARSHOT_DETAIL_MAP) return EARSHOT_ARGUMENT;
    earshot_field *made = malloc(sizeof *made);
    if (!made) return EARSHOT_MEMORY;
    *made = (earshot_field){site, model, frequency_hz, source, antenna, NULL};
    if (model == EARSHOT_MODEL_RAYS) {
        const earshot_status status =
            es_rays_field_new(&site->structure, frequency_hz, source, antenna, detail, &made->rays);
        if (status) {
            free(made);
            return status;
        }
    }
    *field = made;
    return EARSHOT_OK;
}

void earshot_field_free(earshot_field *field)
{
    if (!field) return;
    es_rays_field_free(field->rays);
    free(field);
}

/* Cosine of the angle between the antenna's axis and the line, without sign. */
static double axis_cosine(earshot_antenna antenna, earshot_vec3 a, earshot_vec3 b)
{
    const double dx = fabs(b.x_m - a.x_m), dy = fabs(b.y_m - a.y_m), dz = fabs(b.z_m - a.z_m);
    const double length = sqrt(dx * dx + dy * dy + dz * dz);
    if (length == 0.0) return 0.0;
    switch (antenna) {
    case EARSHOT_ANTENNA_HORIZONTAL_X:
    case EARSHOT_ANTENNA_DIPOLE_X: return dx / length;
    case EARSHOT_ANTENNA_HORIZONTAL_Y:
    case EARSHOT_ANTENNA_DIPOLE_Y: return dy / length;
    default: return dz / length;
    }
}

/* Gain over isotropic towards the other end. Short element: 1.5 sin^2 theta; half-wave dipole:
 * 1.64 (cos(pi/2 cos theta) / sin theta)^2. Textbook forms (from memory); docs/model/link-budget.md. */
static double pattern_dbi(earshot_antenna antenna, earshot_vec3 a, earshot_vec3 b)
{
    if (antenna == EARSHOT_ANTENNA_ISOTROPIC) return 0.0;
    const double cosine = axis_cosine(antenna, a, b), sine2 = 1.0 - cosine * cosine;
    const bool dipole = antenna >= EARSHOT_ANTENNA_DIPOLE_VERTICAL;
    const double aperture = cos(ES_PI / 2.0 * cosine);
    const double short_gain = 1.5 * sine2;
    const double gain = !dipole ? short_gain : sine2 > 0.0 ? 1.64 * aperture * aperture / sine2 : 0.0;
    return fmax(10.0 * log10(gain), DEEPEST_NULL_DBI);
}

static earshot_status direct_at(const earshot_field *field, earshot_vec3 point, earshot_antenna antenna,
                                earshot_loss *loss)
{
    const earshot_status status =
        es_direct_loss(&field->site->structure, field->frequency_hz, field->source, point, loss);
    if (!status)
        loss->loss_db -= pattern_dbi(field->antenna, field->source, point) + pattern_dbi(antenna, field->source, point);
    return status;
}

earshot_status earshot_field_at(const earshot_field *field, earshot_vec3 point, earshot_antenna antenna,
                                earshot_loss *loss)
{
    if (!field || !loss || !is_finite_point(point) || !is_antenna(antenna)) return EARSHOT_ARGUMENT;
    earshot_loss found;
    const earshot_status status =
        field->rays ? es_rays_field_at(field->rays, point, antenna, &found) : direct_at(field, point, antenna, &found);
    if (status) return status;
    if (field->site->adjust) {
        const earshot_status adjusted =
            field->site->adjust(field->site->adjust_context, field->frequency_hz, field->source, point, &found);
        if (adjusted) return adjusted;
    }
    *loss = found;
    return EARSHOT_OK;
}

earshot_status earshot_field_paths(const earshot_field *field, earshot_vec3 point, earshot_antenna antenna,
                                   earshot_path *path, size_t limit, size_t *n)
{
    if (!field || !path || !n || !is_finite_point(point) || !is_antenna(antenna)) return EARSHOT_ARGUMENT;
    *n = 0;
    return field->rays ? es_rays_field_paths(field->rays, point, antenna, path, limit, n) : EARSHOT_OK;
}

double earshot_material_loss_db(const earshot_site *site, size_t material, double frequency_hz, earshot_basis *basis)
{
    if (!site || material >= site->plan->n_materials || !(frequency_hz > 0.0) || !isfinite(frequency_hz)) return NAN;
    return es_material_loss_db(&site->material[material], frequency_hz, basis);
}

double earshot_material_spread_db(const earshot_site *site, size_t material)
{
    if (!site || material >= site->plan->n_materials) return NAN;
    return site->material[material].spread_db;
}
