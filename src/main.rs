//! The `lurefield` program: see the library's `cli` module.

fn main() -> std::process::ExitCode {
    lurefield::cli::main()
}
