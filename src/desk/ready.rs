//! Ready yards, compiled in.

/// Ready scenarios by name.
pub const READY: &[(&str, &str)] = &[
    (
        "allotment-beetles",
        include_str!("../../scenarios/allotment-beetles.json"),
    ),
    (
        "backyard-pears-stink-bug",
        include_str!("../../scenarios/backyard-pears-stink-bug.json"),
    ),
    (
        "dozen-apples-codling-moth",
        include_str!("../../scenarios/dozen-apples-codling-moth.json"),
    ),
    (
        "strawberry-slugs",
        include_str!("../../scenarios/strawberry-slugs.json"),
    ),
    (
        "isolated-orchard-perimeter",
        include_str!("../../scenarios/isolated-orchard-perimeter.json"),
    ),
    ("weak-lure", include_str!("../../scenarios/weak-lure.json")),
    (
        "street-of-five",
        include_str!("../../scenarios/street-of-five.json"),
    ),
    (
        "strawberry-netting",
        include_str!("../../scenarios/strawberry-netting.json"),
    ),
    (
        "patio-wasps",
        include_str!("../../scenarios/patio-wasps.json"),
    ),
];

/// Weather files that shipped yards name.
pub const READY_INPUTS: &[(&str, &str)] = &[(
    "data/newark-2013-hourly.csv",
    include_str!("../../scenarios/data/newark-2013-hourly.csv"),
)];
