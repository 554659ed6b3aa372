//! What people meet: reading scenarios, messages, exit codes and text.

mod shipped;
