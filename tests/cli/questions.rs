//! Questions that gardeners and help desks ask, each answered by one command on a yard of its own, with what the answer must
//! hold. Summers are few: what is held here is that the answer is there, not how large it is.
//!
//! Asked and answered elsewhere: how long, how often, when (`tests/season`), and what unknowns turn (`vary.rs`). Not asked
//! here, since no command answers them in one step yet: what happens by luck without a trap, the circles of scent and of
//! wandering on a plan, an old tree next door on and off, damage for each date of uncovering, trap plants in a corner or a
//! ring, a trap that fills.

use super::{lurefield, told};

/// A question, its command (`S/` is the folder of scenarios) and what must be said.
type Asked = (
    &'static str,
    &'static [&'static str],
    &'static [&'static str],
);

const ALLOTMENT: &str = "S/allotment-beetles.json";
const STREET: &str = "S/street-of-five.json";

const QUESTIONS: &[Asked] = &[
    (
        "Is a trap worth it at all?",
        &[
            "ask",
            "--pest",
            "japanese beetle",
            "--plants",
            "8 roses along the north fence",
            "--trap",
            "30 ft from the roses",
            "--summers",
            "20",
        ],
        &[
            "Better here: \"picking by hand at dusk\"",
            "30 ft (9.2 m) from your plants",
            "change-in-twenty-summers.png",
        ],
    ),
    (
        "How far from the plants?",
        &[
            "place",
            ALLOTMENT,
            "--summers",
            "4",
            "--sites",
            "6",
            "--sweep",
            "distance",
        ],
        &["Distance from your nearest plant", "no trap", "20 ft"],
    ),
    (
        "It hangs among them; move it?",
        &["compare", ALLOTMENT, "--summers", "4"],
        &["of 4 summers", "compare-change-map.png"],
    ),
    (
        "Upwind or downwind?",
        &[
            "place",
            ALLOTMENT,
            "--summers",
            "4",
            "--sites",
            "6",
            "--sweep",
            "side",
        ],
        &["Side of the plants", "north-east", "outside the yard"],
    ),
    (
        "Sun or shade?",
        &["look-up", "not-modelled"],
        &["Sun or shade: advice pages disagree"],
    ),
    (
        "How high?",
        &["look-up", "height", "--pest", "codling moth"],
        &["6 to 8 ft"],
    ),
    (
        "Which of my spots?",
        &["place", ALLOTMENT, "--summers", "4", "--sites", "6"],
        &["Your spots, best first", "by the shed door"],
    ),
    (
        "Between where they come from and the plants, or beyond?",
        &[
            "ask",
            "--pest",
            "japanese beetle",
            "--plants",
            "8 roses along the north fence",
            "--from",
            "south",
            "--trap",
            "in the middle of the south fence",
            "--trap",
            "2 ft from the roses",
            "--summers",
            "20",
        ],
        &["from your plants", "Better here"],
    ),
    (
        "How far from where people sit?",
        &[
            "place",
            "S/patio-wasps.json",
            "--objective",
            "people",
            "--summers",
            "4",
            "--sites",
            "6",
        ],
        &["patio"],
    ),
    (
        "How far apart?",
        &[
            "place",
            ALLOTMENT,
            "--summers",
            "4",
            "--sites",
            "6",
            "--sweep",
            "spacing",
        ],
        &["3 in a row, 10 ft apart", "caught"],
    ),
    (
        "Must I hang one if they do?",
        &["compare", STREET, "--fence", "--summers", "4"],
        &[
            "neither hangs a trap",
            "only I hang traps",
            "only they hang traps",
            "both hang traps",
        ],
    ),
    (
        "What if the whole street did?",
        &["compare", STREET, "--summers", "4"],
        &["of 4"],
    ),
    (
        "Does a monitoring trap bring more in?",
        &["compare", "S/weak-lure.json", "--summers", "4"],
        &["of 4"],
    ),
    (
        "It caught hundreds; is it working?",
        &["run", ALLOTMENT, "--summers", "4"],
        &[
            "of every 100 times beetles answered the lure",
            "beetles caught",
        ],
    ),
    (
        "To stop them or to tell me when?",
        &["check", ALLOTMENT],
        &["removes some"],
    ),
    (
        "Does picking help, and when?",
        &[
            "ask",
            "--pest",
            "japanese beetle",
            "--plants",
            "8 roses along the north fence",
            "--do",
            "pick at 8:00",
            "--do",
            "pick by hand twice a day",
            "--trap",
            "none",
            "--summers",
            "20",
        ],
        &["pick by hand twice a day"],
    ),
    (
        "Squash bugs: eggs and boards?",
        &["ask", "--pest", "squash bugs"],
        &["board", "eggs", "has no numbers"],
    ),
    (
        "Hornworms: pick by hand?",
        &["ask", "--pest", "hornworms"],
        &["has no numbers", "Not known"],
    ),
    (
        "What mesh?",
        &["look-up", "mesh", "--pest", "spotted wing drosophila"],
        &["0.95", "Threads to the inch"],
    ),
    (
        "What is a row cover; will cheesecloth do?",
        &["look-up", "row-cover"],
        &["Cheesecloth tears", "hoops", "bees"],
    ),
    (
        "Which crops are worth covering?",
        &["look-up", "covers", "--crop", "raspberries"],
        &["Raspberries", "bees in at bloom"],
    ),
    (
        "Does a fence stop carrot fly?",
        &["ask", "--pest", "carrot fly"],
        &["fence", "Not known"],
    ),
    (
        "Is bagging worth the time?",
        &[
            "ask",
            "--pest",
            "codling moth",
            "--plants",
            "an apple tree in the middle",
            "--do",
            "bag the fruit",
            "--summers",
            "20",
        ],
        &["Fruit with worms", "Better here"],
    ),
    (
        "Beer traps: do they save the lettuce?",
        &[
            "ask",
            "--pest",
            "slugs",
            "--plants",
            "6 lettuces along the north fence",
            "--yard",
            "20 by 10 ft",
            "--trap",
            "3 ft from the lettuces",
            "--summers",
            "20",
        ],
        &["3 ft (0.9 m) from your plants"],
    ),
    (
        "Is it bad enough to spend money?",
        &["compare", ALLOTMENT, "--summers", "4"],
        &["min, $: minutes and dollars"],
    ),
    (
        "Is the research any good?",
        &["look-up", "research", "--pest", "japanese beetle"],
        &["Gordon & Potter", "Nobody has shown a safe distance"],
    ),
];

#[test]
fn each_question_is_answered_by_one_command() {
    let scenarios = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/");
    let mut wrong = Vec::new();
    for (question, command, parts) in QUESTIONS {
        let folder = tempfile::tempdir().unwrap();
        let words = command.iter().map(|word| match word.strip_prefix("S/") {
            Some(file) => format!("{scenarios}{file}"),
            None => (*word).to_owned(),
        });
        let output = lurefield()
            .current_dir(folder.path())
            .args(words)
            .stdin(std::process::Stdio::null())
            .output()
            .unwrap();
        let (out, err, code) = told(&output);
        // Lines are folded; what is looked for may stand across two.
        let flat: Vec<&str> = out.split_whitespace().collect();
        let flat = flat.join(" ");
        if code != 0 {
            wrong.push(format!("{question}: exit {code}: {err}"));
        }
        let missing = parts.iter().filter(|part| !flat.contains(**part));
        wrong.extend(missing.map(|part| format!("{question}: {part:?} not in:\n{out}")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}
