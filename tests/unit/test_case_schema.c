/* test_case_schema.c - docs/schema agrees with the tables that the reader works from.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <cjson/cJSON.h>

#include "casefile/keys.h"
#include "casefile_help.h"

static const cJSON *get(const cJSON *o, const char *name)
{
    return cJSON_GetObjectItemCaseSensitive(o, name);
}

/* Follows "a/b/c" from root, then a $ref to $defs if it ends at one. */
static const cJSON *at(const cJSON *root, const char *path)
{
    const cJSON *o = root;
    char *copy = sm_string_copy(path), *rest = copy;
    for (char *part = strtok_r(copy, "/", &rest); part && o; part = strtok_r(NULL, "/", &rest))
        o = cJSON_IsArray(o) ? cJSON_GetArrayItem(o, atoi(part)) : get(o, part);
    free(copy);
    const cJSON *ref = get(o, "$ref");
    if (ref)
        o = get(get(root, "$defs"), ref->valuestring + strlen("#/$defs/"));
    if (!o)
        fail_msg("no %s in the schema", path);
    return o;
}

static void check_bounds(const cJSON *number, const sm_key *key)
{
    const cJSON *low = get(number, key->flags & SM_KEY_ABOVE_LOW ? "exclusiveMinimum" : "minimum");
    const cJSON *high = get(number, key->flags & SM_KEY_BELOW_HIGH ? "exclusiveMaximum" : "maximum");
    if (!low || low->valuedouble != key->low)
        fail_msg("%s: lower bound", key->name);
    if (isinf(key->high) ? high != NULL : (!high || high->valuedouble != key->high))
        fail_msg("%s: upper bound", key->name);
}

static void check_choices(const cJSON *schema, const sm_key *key)
{
    const cJSON *words = get(schema, "enum");
    int n = 0;
    for (; key->choice[n].name; n++)
        assert_string_equal(cJSON_GetArrayItem(words, n)->valuestring, key->choice[n].name);
    assert_int_equal(cJSON_GetArraySize(words), n);
}

/* The first of several forms: the value by itself, not said to be measured. */
static const cJSON *bare(const cJSON *schema)
{
    const cJSON *forms = get(schema, "anyOf");
    return forms ? cJSON_GetArrayItem(forms, 0) : schema;
}

static void check_key(const cJSON *whole, const sm_key *key)
{
    const cJSON *schema = bare(whole), *type = get(schema, "type");
    switch (key->kind) {
    case SM_KEY_CHOICE:
        check_choices(schema, key);
        break;
    case SM_KEY_NUMBER:
        if (key->offset || key->high != 0 || key->low != 0) {
            assert_string_equal(type->valuestring, "number");
            check_bounds(schema, key);
        }
        break;
    case SM_KEY_COUNT:
        assert_string_equal(type->valuestring, "integer");
        check_bounds(schema, key);
        break;
    case SM_KEY_TRUTH:
        assert_string_equal(type->valuestring, "boolean");
        break;
    case SM_KEY_DIST:
    case SM_KEY_QUANTITY:
    case SM_KEY_POST_AZIMUTH:
        check_bounds(schema, key);
        break;
    default:
        break;
    }
}

/* `wrapped`: the profile's form, where each value stands under "value" and required keys do not stand at all. */
static void check_object(const cJSON *schema, const sm_keys *keys, bool wrapped, const char *also_not)
{
    const cJSON *properties = get(schema, "properties");
    int n = 0;
    assert_true(cJSON_IsFalse(get(schema, "additionalProperties")));
    for (size_t i = 0; i < keys->n; i++) {
        const sm_key *key = &keys->key[i];
        if ((wrapped && (key->flags & SM_KEY_REQUIRED)) || (also_not && strcmp(key->name, also_not) == 0))
            continue;
        const cJSON *property = get(properties, key->name);
        if (!property)
            fail_msg("%s is not in the schema of %s", key->name, keys->what);
        n++;
        if (wrapped && key->kind != SM_KEY_OBJECT && key->kind != SM_KEY_LIST)
            property = get(get(property, "properties"), "value");
        check_key(property, key);
    }
    assert_int_equal(cJSON_GetArraySize(properties), n);
}

static void check_required(const cJSON *schema, const sm_keys *keys)
{
    const cJSON *required = get(schema, "required");
    int n = 0;
    for (size_t i = 0; i < keys->n; i++) {
        bool found = false;
        for (const cJSON *name = required ? required->child : NULL; name; name = name->next)
            found |= strcmp(name->valuestring, keys->key[i].name) == 0;
        const unsigned flags = keys->key[i].flags;
        if (found != ((flags & SM_KEY_REQUIRED) && !(flags & (SM_KEY_STOPGAP | SM_KEY_OF_OSTIUM))))
            fail_msg("%s: required or not in %s", keys->key[i].name, keys->what);
        n += found;
    }
    assert_int_equal(required ? cJSON_GetArraySize(required) : 0, n);
}

static cJSON *schema_of(const char *path)
{
    char *text = load(path);
    cJSON *root = cJSON_Parse(text);
    assert_non_null(root);
    free(text);
    return root;
}

static void agrees_on_a_case(void **state)
{
    (void)state;
    cJSON *root = schema_of("docs/schema/case.schema.json");
    static const struct {
        const char *path;
        const sm_keys *keys;
        const char *also_not;
    } objects[] = {{"", &sm_keys_case, NULL},
                   {"properties/scan", &sm_keys_scan, NULL},
                   {"properties/scan/properties/base_plane", &sm_keys_base_plane, NULL},
                   {"properties/limits", &sm_keys_limits, NULL},
                   {"$defs/surgical_valve", &sm_keys_valve, NULL},
                   {"$defs/implant", &sm_keys_implant, NULL},
                   {"$defs/coronary", &sm_keys_coronary, NULL},
                   {"$defs/alternative", &sm_keys_alternative, NULL},
                   {"$defs/look", &sm_keys_look, NULL},
                   {"$defs/rescan", &sm_keys_scan, NULL},
                   {"$defs/patient_axes", &sm_keys_axes, NULL},
                   {"$defs/patient_axes/properties/profile", &sm_keys_axes_profile, NULL},
                   {"$defs/gantry", &sm_keys_gantry, NULL},
                   {"$defs/reading_gap", &sm_keys_reading, NULL},
                   {"$defs/reading_gap/properties/cross_check", &sm_keys_cross_check, NULL},
                   {"$defs/reading_height", &sm_keys_reading, "cross_check"},
                   {"$defs/reading_leaflet", &sm_keys_reading, NULL},
                   {"$defs/reading_leaflet/properties/cross_check", &sm_keys_direct_look, NULL},
                   {"$defs/reading_diameter", &sm_keys_reading, NULL},
                   {"$defs/reading_diameter/properties/cross_check", &sm_keys_direct_look, NULL},
                   {"$defs/reading_thickness", &sm_keys_reading, NULL},
                   {"$defs/reading_thickness/properties/cross_check", &sm_keys_direct_look, NULL}};
    for (size_t i = 0; i < sizeof objects / sizeof *objects; i++) {
        check_object(at(root, objects[i].path), objects[i].keys, false, objects[i].also_not);
        if (strncmp(objects[i].path, "$defs/surgical", 14) != 0 && strcmp(objects[i].path, "$defs/implant") != 0)
            check_required(at(root, objects[i].path), objects[i].keys);
    }
    /* valve and implant stand in patches too, if nothing is required */
    check_required(at(root, "properties/surgical_valve/allOf/1"), &sm_keys_valve);
    check_required(at(root, "properties/implant/allOf/1"), &sm_keys_implant);
    check_key(at(root, "properties/action_line"), &sm_keys_action.key[0]);
    /* those of an ostium unless the side says that it has none, and never where it does */
    const cJSON *with = at(root, "$defs/coronary/else/required"), *without = at(root, "$defs/coronary/then/properties");
    int of_ostium = 0;
    for (size_t i = 0; i < sm_keys_coronary.n; i++)
        if (sm_keys_coronary.key[i].flags & SM_KEY_OF_OSTIUM) {
            assert_string_equal(cJSON_GetArrayItem(with, of_ostium++)->valuestring, sm_keys_coronary.key[i].name);
            assert_true(cJSON_IsFalse(get(without, sm_keys_coronary.key[i].name)));
        }
    assert_int_equal(of_ostium, 2);
    assert_int_equal(cJSON_GetArraySize(with), of_ostium);
    assert_int_equal(cJSON_GetArraySize(without), of_ostium);
    cJSON_Delete(root);
}

static void agrees_on_a_profile(void **state)
{
    (void)state;
    cJSON *root = schema_of("docs/schema/profile.schema.json");
    check_object(at(root, ""), &sm_keys_profile, false, NULL);
    check_required(at(root, ""), &sm_keys_profile);
    check_object(at(root, "properties/scan"), &sm_keys_scan, true, NULL);
    check_object(at(root, "properties/scan/properties/base_plane/anyOf/0"), &sm_keys_base_plane, true, NULL);
    check_object(at(root, "properties/scan/properties/base_plane/anyOf/1/properties/value"), &sm_keys_base_plane, false,
                 NULL);
    check_object(at(root, "properties/surgical_valve"), &sm_keys_valve, true, NULL);
    check_object(at(root, "properties/implant"), &sm_keys_implant, true, NULL);
    check_object(at(root, "properties/limits"), &sm_keys_limits, true, NULL);
    check_object(at(root, "properties/gantry"), &sm_keys_gantry, true, NULL);
    check_key(at(root, "properties/action_line/properties/value"), &sm_keys_action.key[0]);
    check_object(at(root, "$defs/reader_of_gap"), &sm_keys_profile_reader, false, NULL);
    check_object(at(root, "$defs/reader"), &sm_keys_profile_reader, false, "cross_check");
    check_object(at(root, "$defs/reader_of_gap/properties/cross_check"), &sm_keys_profile_cross_check, false, NULL);
    const sm_quantity_kind *kind;
    size_t n = sm_keys_quantities(&kind);
    for (size_t i = 0; i < n; i++) {
        assert_non_null(get(at(root, "properties/readers/properties"), kind[i].name));
        assert_non_null(get(at(root, "properties/readers/properties"), kind[i].key));
    }
    cJSON_Delete(root);
}

/* Readings of a look keep the domain of what is looked at, and a look may stand beside every family but a constant. */
static void agrees_on_second_looks(void **state)
{
    (void)state;
    static const char *const look[] = {"look_at_gap", "look_at_gap", "look_at_leaflet", "look_at_diameter",
                                       "look_at_thickness"};
    cJSON *root = schema_of("docs/schema/case.schema.json");
    const sm_quantity_kind *kind;
    const size_t n = sm_keys_quantities(&kind);
    size_t looked = 0;
    for (size_t i = 0; i < n; i++) {
        if (!kind[i].looks)
            continue;
        char path[96];
        snprintf(path, sizeof path, "$defs/%s/properties/readings_mm/additionalProperties/items", look[looked++]);
        const sm_key key = {.name = kind[i].key, .low = kind[i].low, .high = kind[i].high};
        check_bounds(at(root, path), &key);
    }
    assert_int_equal(looked, sizeof look / sizeof *look);
    const cJSON *beside = at(root, "$defs/looked_distribution/properties");
    assert_int_equal(cJSON_GetArraySize(beside), SM_FAMILY_COUNT); /* all but the constant, and the look */
    for (int f = 0; f < SM_FAMILY_COUNT; f++)
        assert_true((get(beside, sm_dist_family_name((sm_family)f)) != NULL) == (f != SM_CONSTANT));
    cJSON_Delete(root);
}

static void agrees_on_distributions(void **state)
{
    (void)state;
    cJSON *root = schema_of("docs/schema/case.schema.json");
    const cJSON *families = at(root, "$defs/distribution/properties");
    assert_int_equal(cJSON_GetArraySize(families), SM_FAMILY_COUNT);
    for (int f = 0; f < SM_FAMILY_COUNT; f++) {
        const cJSON *family = get(families, sm_dist_family_name((sm_family)f));
        assert_int_equal(cJSON_GetArraySize(get(family, "properties")), sm_dist_parameters((sm_family)f));
        assert_int_equal(cJSON_GetArraySize(get(family, "required")), sm_dist_parameters((sm_family)f));
        for (size_t i = 0; i < sm_dist_parameters((sm_family)f); i++)
            assert_non_null(get(get(family, "properties"), sm_dist_parameter_name((sm_family)f, i)));
    }
    cJSON_Delete(root);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_on_a_case),
        cmocka_unit_test(agrees_on_a_profile),
        cmocka_unit_test(agrees_on_second_looks),
        cmocka_unit_test(agrees_on_distributions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
